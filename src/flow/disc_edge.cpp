#include "flow/disc_edge.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>

#include "flow/disc_edge_table.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
const double first_angle = std::asin(std::sqrt(least_ratio));

/// The four nearest of equally spaced nodes and the weights of the cubic through them.
struct Stencil {
  std::size_t first;
  std::array<double, 4> weight;
};

/// @param x place in steps from the first node, within the nodes
Stencil stencil(double x, int nodes) {
  const int first = std::clamp(static_cast<int>(x) - 1, 0, nodes - 4);
  const double a = x - first, b = a - 1, c = a - 2, d = a - 3;
  return {static_cast<std::size_t>(first), {-b * c * d / 6, a * c * d / 2, -a * b * d / 2, a * b * c / 6}};
}

std::array<double, 6> interpolated(double alpha, double eta) {
  const auto [row, u] =
      stencil((std::asin(std::sqrt(alpha)) - first_angle) / (pi / 2 - first_angle) * (edge_rows - 1), edge_rows);
  const auto [column, v] = stencil(eta / edge_last * (edge_columns - 1), edge_columns);
  std::array<double, 6> sum{};
  for (std::size_t i = 0; i < 4; ++i)
    for (std::size_t j = 0; j < 4; ++j) {
      const std::array<double, 6>& node = edge_table[row + i][column + j];
      const double weight = u[i] * v[j];
      for (std::size_t k = 0; k < node.size(); ++k) sum[k] += weight * node[k];
    }
  return sum;
}

double lone_edge_shear(double alpha) {
  const double step = 1 - alpha;
  if (step <= 0) return 0;
  const double sum = 1 + alpha;
  return (step * step / alpha * std::log(sum / step) + 2 * std::log(sum * sum / (4 * alpha))) / pi;
}

/// Not a number counts as the lower bound.
double bounded(double x, double low, double high) { return x > low ? std::min(x, high) : low; }

}  // namespace

DiscEdge disc_edge(double shallow, double deep, double disc_width) {
  if (shallow > deep) std::swap(shallow, deep);
  const double alpha = bounded(shallow / deep, least_ratio, 1), eta = bounded(deep / disc_width, 0, edge_last);
  const std::array<double, 6> table = interpolated(alpha, eta);
  const double step = 1 - alpha, per_half = 2 * eta * step;  // deep gap over half a disc
  return {.along_deep = 1 + per_half * table[0],
          .along_shallow = 1 + per_half * alpha * table[1],
          .drag_deep = 1 + per_half * table[2],
          .drag_shallow = 1 + per_half * alpha * table[3],
          .across = step * table[4],
          .shear = lone_edge_shear(alpha) + step * table[5]};
}

bool disc_edge_in_range(double shallow, double deep, double disc_width) {
  if (shallow > deep) std::swap(shallow, deep);
  return shallow > 0 && disc_width > 0 && shallow >= least_ratio * deep && deep <= edge_last * disc_width;
}

}  // namespace quern
