#include "flow/strip_flow.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "flow/strip_equations.hpp"

namespace quern {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double tolerance = 1e-10;

double unevenness(const std::vector<double>& flows) {
  const auto [least, most] = std::minmax_element(flows.begin(), flows.end());
  return *most - *least;
}

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
  flow.turn_gap = unevenness(axial_flows(f, flow.p_turn, 0));
  flow.pressed_gap = unevenness(axial_flows(f, flow.p_gradient, 1));
  over_links(f, [&](std::size_t i, std::size_t from, std::size_t to, int link) {
    const double own = f.shear[i] + f.drag_loss[i], driven = own - f.drag[i] * (flow.p_turn[to] - flow.p_turn[from]);
    flow.power += driven, flow.dissipation += own;
    flow.tip_power += f.tip_shear[i];
    if (link >= 2 * f.lobe_links) flow.nip_power += driven;
    flow.reciprocal -= f.drag[i] * (flow.p_gradient[to] - flow.p_gradient[from]);
  });
  for (std::size_t i = 0; i < f.source.size(); ++i)
    flow.power += f.source[i] * flow.p_turn[i], flow.reciprocal += f.source[i] * flow.p_gradient[i];
  flow.dissipation += pressure_dissipation(f, flow.p_turn, 0);
  flow.pressed = pressure_dissipation(f, flow.p_gradient, 1);
  for (double* x : {&flow.power, &flow.dissipation, &flow.pressed, &flow.tip_power, &flow.nip_power, &flow.reciprocal})
    *x /= f.length;
  return flow;
}

StripFlow strip_flow(const StripField& field) {
  StripSolver solver(field.topology);
  return strip_flow(field, solver);
}

double balance_gap(const StripFlow& f) {
  const double pumped = std::sqrt(std::abs(f.passage * f.power));
  return std::max({f.turn_gap / pumped, f.pressed_gap / f.passage, std::abs(f.dissipation / f.power - 1),
                   std::abs(f.reciprocal - f.throughput) / pumped, std::abs(f.pressed / f.passage - 1)});
}

}  // namespace quern
