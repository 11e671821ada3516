#include "flow/nip.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "flow/reach.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int rows = 240;   ///< heights over the strip
constexpr int turns = 48;   ///< rotations over one period
constexpr double least_gap = 0.0005;  ///< of D: screws that touch have no finite power

/// Reach at each row, from -y_end to y_end.
std::vector<double> reach(const Profile& p, double turn, double y_end) { return reach(p, p.R, turn, y_end, rows); }

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
