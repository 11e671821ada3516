#include "flow/facing_discs.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int rows = 200;  ///< heights over the lens in which the two tip circles meet
constexpr int turns = 48;  ///< rotations over one period

using Reach = std::array<double, rows>;  ///< how far a disc reaches towards the other screw, from the lowest row up

double half_lens(const Profile& p, double C) { return std::sqrt(std::max(p.R * p.R - C * C / 4, 0.0)); }

/// Walks the outline as a polygon and keeps, on each row, the crossing that lies farthest out.
Reach reach(const Profile& p, double turn, double y_end) {
  constexpr int edges = 1440;  // four to a degree
  const double height = 2 * y_end / rows;
  const auto point = [&](int i) {
    const double angle = 2 * pi * i / edges, r = radius(p, angle - turn);
    return std::array{r * std::cos(angle), r * std::sin(angle)};
  };
  Reach out{};
  for (int i = 0; i < edges; ++i) {
    auto a = point(i), b = point(i + 1);
    if (a[1] > b[1]) std::swap(a, b);
    const auto row_above = [&](double y) {
      return static_cast<int>(std::ceil(std::clamp((y + y_end) / height - 0.5, 0.0, 1.0 * rows)));
    };
    for (int row = row_above(a[1]); row < row_above(b[1]); ++row) {
      const double share = ((row + 0.5) * height - y_end - a[1]) / (b[1] - a[1]);
      double& x = out[static_cast<std::size_t>(row)];
      x = std::max(x, a[0] + share * (b[0] - a[0]));
    }
  }
  return out;
}

/// ∫ of what the two reaches have in excess of the centre distance. The second screw is the first turned by half a
/// turn, so that its rows run from the top down.
double overlap(const Reach& first, const Reach& second, double C, double y_end) {
  double sum = 0;
  for (std::size_t row = 0; row < rows; ++row) sum += std::max(first[row] + second[rows - 1 - row] - C, 0.0);
  return sum * 2 * y_end / rows;
}

}  // namespace

double facing_discs(const Section& section, int starts, double turn, double stagger) {
  const Profile p = profile(section, starts);
  const double C = section.centre_distance, y_end = half_lens(p, C);
  if (y_end <= 0) return 0;
  const double mesh = pi / starts;  // where a tip of one screw is due, the other has a root
  const auto at = [&](double angle) { return reach(p, angle, y_end); };
  return overlap(at(turn), at(turn + mesh + stagger), C, y_end) +
         overlap(at(turn + stagger), at(turn + mesh), C, y_end);
}

double mean_facing_discs(const Section& section, int starts, double stagger) {
  double sum = 0;
  for (int k = 0; k < turns; ++k) sum += facing_discs(section, starts, 2 * pi / starts * (k + 0.5) / turns, stagger);
  return sum / turns;
}

}  // namespace quern
