#include "base/straight_lines.hpp"

namespace quern {

double straight_lines(std::span<const std::pair<double, double>> points, double x) {
  if (points.size() == 1) return points.front().second;
  const std::size_t i = interval_end(points, x, [](const auto& point) { return point.first; });
  const auto [x0, y0] = points[i - 1];
  const auto [x1, y1] = points[i];
  return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
}

}  // namespace quern
