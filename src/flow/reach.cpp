#include "flow/reach.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

struct Point {
  double y, x;
};

/// The side of a screw that faces the other, by rising height. The profile is convex, so x is a function of y.
std::vector<Point> facing_side(const Profile& p, double worn_radius, double turn, double y_end) {
  const double half = y_end < p.R_root ? std::asin(y_end / p.R_root) : pi / 2;
  const int n = static_cast<int>(std::ceil(720 * half / pi)) * 2;  // four points to a degree
  std::vector<Point> side;
  side.reserve(static_cast<std::size_t>(n) + 1);
  for (int i = 0; i <= n; ++i) {
    const double angle = half * (2.0 * i / n - 1), r = std::min(radius(p, angle - turn), worn_radius);
    const Point point{r * std::sin(angle), r * std::cos(angle)};
    if (side.empty() || point.y > side.back().y) side.push_back(point);
  }
  return side;
}

}  // namespace

std::vector<double> reach(const Profile& p, double worn_radius, double turn, double y_end, int samples) {
  const std::vector<Point> side = facing_side(p, worn_radius, turn, y_end);
  std::vector<double> x;
  x.reserve(static_cast<std::size_t>(samples));
  std::size_t i = 1;
  for (int row = 0; row < samples; ++row) {
    const double y = y_end * (2 * (row + 0.5) / samples - 1);
    while (i + 1 < side.size() && side[i].y < y) ++i;
    const Point &a = side[i - 1], &b = side[i];
    x.push_back(a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0));
  }
  return x;
}

}  // namespace quern
