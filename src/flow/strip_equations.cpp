#include "flow/strip_equations.hpp"

namespace quern {
namespace {

std::size_t index(int i) { return strip_index(i); }

}  // namespace

StripSystem strip_system(const StripField& f) {
  StripSystem s{f.topology, f.conductance, f.along, f.before};
  for (std::size_t i = 0; i < s.ground.size(); ++i) s.ground[i] += f.after[i];
  return s;
}

std::vector<double> drag_source(const StripField& f) {
  std::vector<double> b(f.source);
  over_links(f,
             [&](std::size_t i, std::size_t from, std::size_t to, int) { b[from] += f.drag[i], b[to] -= f.drag[i]; });
  return b;
}

std::vector<double> gradient_source(const StripField& f) {
  const int rows = f.topology.rows;
  std::vector<double> b(index(f.topology.unknowns()));
  for (int c = 0; c < f.topology.columns(); ++c)
    for (int k = 0; k < rows; ++k) {
      const auto here = index(c * rows + k), next = index(c * rows + (k + 1) % rows);
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
      const auto here = index(c * rows + k), next = index(c * rows + (k + 1) % rows);
      if (f.topology.periodic) sum -= f.along[here] * (p[next] - p[here] + G * f.row) / rows;
      else sum += f.before[here] * (0 - p[here]);  // what enters leaves
    }
  return sum;
}

}  // namespace quern
