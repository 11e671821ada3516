#include "flow/nip.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <limits>
#include <vector>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int rows = 240;   ///< heights over the strip
constexpr int turns = 48;   ///< rotations over one period
constexpr double least_gap = 0.0005;  ///< of D: screws that touch have no finite power

/// Height from which a ray of the profile is seen, and how far it reaches towards the other screw.
struct Point {
  double y, x;
};

/// The side of a screw that faces the other, by rising height, as far as the strip needs it. The profile is convex, so
/// x is a function of y; no point of it lies nearer than the root radius.
std::vector<Point> facing_side(const Profile& p, double turn, double y_end) {
  const double half = y_end < p.R_root ? std::asin(y_end / p.R_root) : pi / 2;
  const int n = static_cast<int>(std::ceil(720 * half / pi)) * 2;  // four points to a degree
  std::vector<Point> side;
  side.reserve(static_cast<std::size_t>(n) + 1);
  for (int i = 0; i <= n; ++i) {
    const double angle = half * (2.0 * i / n - 1), r = radius(p, angle - turn);
    const Point point{r * std::sin(angle), r * std::cos(angle)};
    if (side.empty() || point.y > side.back().y) side.push_back(point);
  }
  return side;
}

/// Reach at each row, from -y_end to y_end.
std::vector<double> reach(const Profile& p, double turn, double y_end) {
  const std::vector<Point> side = facing_side(p, turn, y_end);
  std::vector<double> x;
  x.reserve(rows);
  std::size_t i = 1;
  for (int row = 0; row < rows; ++row) {
    const double y = y_end * (2 * (row + 0.5) / rows - 1);
    while (i + 1 < side.size() && side[i].y < y) ++i;
    const Point &a = side[i - 1], &b = side[i];
    x.push_back(a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0));
  }
  return x;
}

double cusp_height(const Profile& p, double C) { return std::sqrt(p.Rb * p.Rb - C * C / 4); }

/// Distance of the screws at each row. The second is the first turned by half a turn and half a period, seen from the
/// other side.
std::vector<double> gaps(const Profile& p, double C, double turn) {
  const double y_end = cusp_height(p, C), period = 2 * pi / p.starts;
  const std::vector<double> left = reach(p, turn, y_end), right = reach(p, turn + pi - period / 2 + pi, y_end);
  std::vector<double> gap;
  gap.reserve(rows);
  for (int row = 0; row < rows; ++row)
    gap.push_back(C - left[static_cast<std::size_t>(row)] - right[static_cast<std::size_t>(rows - 1 - row)]);
  return gap;
}

}  // namespace

double nip_couette(const Section& section, int starts) {
  const Profile p = profile(section, starts);
  const double C = section.centre_distance, D = section.screw_diameter, period = 2 * pi / starts;
  const double y_end = cusp_height(p, C);
  std::vector<std::vector<double>> reaches;
  for (int k = 0; k < turns; ++k) reaches.push_back(reach(p, (k + 0.5) / turns * period, y_end));
  double sum = 0;
  for (std::size_t k = 0; k < turns; ++k) {
    const auto &left = reaches[k], &right = reaches[(k + turns / 2) % turns];  // half a period on: `gaps`
    for (std::size_t row = 0; row < rows; ++row)
      sum += 1 / std::max(C - left[row] - right[rows - 1 - row], least_gap * D);
  }
  const double mean = sum / turns * 2 * y_end / rows;  // ∫ dy/g
  return 4 * pi * pi * C * C / (D * D) * mean;
}

double nip_gap(const Section& section, int starts, double turn) {
  const std::vector<double> gap = gaps(profile(section, starts), section.centre_distance, turn);
  return *std::min_element(gap.begin(), gap.end());
}

}  // namespace quern
