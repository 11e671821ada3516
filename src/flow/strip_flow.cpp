#include "flow/strip_flow.hpp"

#include <algorithm>
#include <utility>

#include "flow/strip_equations.hpp"

namespace quern {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double tolerance = 1e-10;

}  // namespace

StripFlow strip_flow(const StripField& f, StripSolver& solver) {
  StripFlow flow;
  flow.p_turn.assign(at(f.topology.unknowns()), 0.0), flow.p_gradient = flow.p_turn;
  solver.set(strip_system(f));
  for (const auto& [source, p] :
       {std::pair{drag_source(f), &flow.p_turn}, std::pair{gradient_source(f), &flow.p_gradient}}) {
    const StripReport report = solver.solve(source, *p, tolerance);
    flow.converged &= report.converged, flow.direct |= report.direct;
    flow.iterations = std::max(flow.iterations, report.iterations);
  }
  flow.throughput = axial_flow(f, flow.p_turn, 0);
  flow.passage = -axial_flow(f, flow.p_gradient, 1);
  over_links(f, [&](std::size_t i, std::size_t from, std::size_t to, int link) {
    const double dp = flow.p_turn[to] - flow.p_turn[from], own = f.shear[i] + f.drag_loss[i];
    flow.power += own - f.drag[i] * dp;
    flow.dissipation += own + f.conductance[i] * dp * dp;
    flow.tip_power += f.tip_shear[i];
    if (link >= 2 * f.lobe_links) flow.nip_power += own - f.drag[i] * dp;
    flow.reciprocal -= f.drag[i] * (flow.p_gradient[to] - flow.p_gradient[from]);
  });
  const int rows = f.topology.rows;
  for (std::size_t i = 0; i < flow.p_turn.size(); ++i) {
    const int k = static_cast<int>(i) % rows;
    const double dp = flow.p_turn[i - at(k) + at((k + 1) % rows)] - flow.p_turn[i];
    flow.power += f.source[i] * flow.p_turn[i], flow.reciprocal += f.source[i] * flow.p_gradient[i];
    flow.dissipation += f.along[i] * dp * dp + (f.before[i] + f.after[i]) * flow.p_turn[i] * flow.p_turn[i];
  }
  for (double* x : {&flow.power, &flow.dissipation, &flow.tip_power, &flow.nip_power, &flow.reciprocal}) *x /= f.length;
  return flow;
}

}  // namespace quern
