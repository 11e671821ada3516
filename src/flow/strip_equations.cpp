#include "flow/strip_equations.hpp"

#include <numeric>

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

std::vector<double> axial_flows(const StripField& f, const std::vector<double>& p, double G) {
  const int rows = f.topology.rows;
  std::vector<double> flows(index(f.topology.periodic ? rows : rows + 1));
  for (int c = 0; c < f.topology.columns(); ++c) {
    const auto first = index(c * rows), last = first + index(rows - 1);
    for (int k = 0; k < (f.topology.periodic ? rows : rows - 1); ++k) {
      const auto here = first + index(k), next = first + index((k + 1) % rows);
      const double rise = p[next] - p[here] + (f.topology.periodic ? G * f.row : 0);
      flows[index(f.topology.periodic ? k : k + 1)] -= f.along[here] * rise;
    }
    if (f.topology.periodic) continue;
    flows.front() -= f.before[first] * p[first];
    flows.back() -= f.after[last] * (G * f.length - p[last]);
  }
  return flows;
}

double axial_flow(const StripField& f, const std::vector<double>& p, double G) {
  const std::vector<double> flows = axial_flows(f, p, G);
  return std::accumulate(flows.begin(), flows.end(), 0.0) / static_cast<double>(flows.size());
}

double pressure_dissipation(const StripField& f, const std::vector<double>& p, double G) {
  const int rows = f.topology.rows;
  double sum = 0;
  over_links(f, [&](std::size_t i, std::size_t from, std::size_t to, int) {
    sum += f.conductance[i] * (p[to] - p[from]) * (p[to] - p[from]);
  });
  for (int c = 0; c < f.topology.columns(); ++c)
    for (int k = 0; k < rows; ++k) {
      const auto here = index(c * rows + k), next = index(c * rows + (k + 1) % rows);
      const double rise = p[next] - p[here] + (f.topology.periodic ? G * f.row : 0), out = G * f.length - p[here];
      sum += f.along[here] * rise * rise + f.before[here] * p[here] * p[here] + f.after[here] * out * out;
    }
  return sum;
}

std::vector<double> axial_gradient(const StripField& f, const std::vector<double>& p, double G) {
  const int rows = f.topology.rows;
  std::vector<double> g(p.size());
  for (int c = 0; c < f.topology.columns(); ++c) {
    const std::size_t column = index(c * rows);
    const auto through = [&](int k) {  // the face behind row k
      const std::size_t here = column + index(k), next = column + index((k + 1) % rows);
      return f.along[here] * (p[next] - p[here] + G * f.row);
    };
    double before = through(rows - 1);
    for (int k = 0; k < rows; ++k) {
      const double behind = through(k), axial = f.axial[column + index(k)];
      g[column + index(k)] = axial > 0 ? (before + behind) / (2 * axial) : 0;
      before = behind;
    }
  }
  return g;
}

}  // namespace quern
