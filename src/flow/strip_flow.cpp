#include "flow/strip_flow.hpp"

#include <cmath>

namespace quern {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

StripSystem system_of(const StripField& f) {
  StripSystem s{f.topology, f.conductance, f.along, f.before};
  for (std::size_t i = 0; i < s.ground.size(); ++i) s.ground[i] += f.after[i];
  return s;
}

template <class F>
void over_links(const StripField& f, const F& visit) {
  const auto ends = f.topology.link_ends();
  for (int l = 0; l < f.topology.links(); ++l)
    for (int k = 0; k < f.topology.rows; ++k)
      visit(at(l * f.topology.rows + k), at(ends[at(l)].from * f.topology.rows + k),
            at(ends[at(l)].to * f.topology.rows + k), l);
}

std::vector<double> drag_source(const StripField& f) {
  std::vector<double> b(f.source);
  over_links(f,
             [&](std::size_t i, std::size_t from, std::size_t to, int) { b[from] += f.drag[i], b[to] -= f.drag[i]; });
  return b;
}

std::vector<double> gradient_source(const StripField& f) {
  const int rows = f.topology.rows;
  std::vector<double> b(at(f.topology.unknowns()));
  for (int c = 0; c < f.topology.columns(); ++c)
    for (int k = 0; k < rows; ++k) {
      const auto here = at(c * rows + k), next = at(c * rows + (k + 1) % rows);
      if (f.topology.periodic) b[here] += f.along[here] * f.row, b[next] -= f.along[here] * f.row;
      b[here] += f.after[here] * f.length;
    }
  return b;
}

/// Mean over the axis of the axial flow, for pressures p + G z.
double axial_flow(const StripField& f, const std::vector<double>& p, double G) {
  const int rows = f.topology.rows;
  double sum = 0;
  for (int c = 0; c < f.topology.columns(); ++c)
    for (int k = 0; k < rows; ++k) {
      const auto here = at(c * rows + k), next = at(c * rows + (k + 1) % rows);
      if (f.topology.periodic) sum -= f.along[here] * (p[next] - p[here] + G * f.row) / rows;
      else sum += f.before[here] * (0 - p[here]);  // what enters leaves
    }
  return sum;
}

}  // namespace

StripFlow strip_flow(const StripField& f) {
  StripCholesky cholesky(f.topology);
  cholesky.factor(system_of(f));
  StripFlow flow;
  flow.p_turn = cholesky.solve(drag_source(f));
  flow.p_gradient = cholesky.solve(gradient_source(f));
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
    const auto k = static_cast<int>(i) % rows;
    const double dp = flow.p_turn[i - at(k) + at((k + 1) % rows)] - flow.p_turn[i];
    flow.power += f.source[i] * flow.p_turn[i], flow.reciprocal += f.source[i] * flow.p_gradient[i];
    flow.dissipation += f.along[i] * dp * dp + (f.before[i] + f.after[i]) * flow.p_turn[i] * flow.p_turn[i];
  }
  for (double* x : {&flow.power, &flow.dissipation, &flow.tip_power, &flow.nip_power, &flow.reciprocal}) *x /= f.length;
  return flow;
}

}  // namespace quern
