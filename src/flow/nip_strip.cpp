#include "flow/nip_strip.hpp"

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

NipStrip::NipStrip(const ElementShape& shape, int samples)
    : profile_(shape.profile()),
      worn_radius_(profile_.Rb - shape.tip_gap()),
      centre_(shape.centre),
      cusp_(std::sqrt(profile_.Rb * profile_.Rb - centre_ * centre_ / 4)),
      speed_(2 * pi * centre_),
      samples_(samples) {}

std::vector<double> NipStrip::reach(double turn) const {
  const std::vector<Point> side = facing_side(profile_, worn_radius_, turn, cusp_);
  std::vector<double> x;
  x.reserve(static_cast<std::size_t>(samples_));
  std::size_t i = 1;
  for (int row = 0; row < samples_; ++row) {
    const double y = cusp_ * (2 * (row + 0.5) / samples_ - 1);
    while (i + 1 < side.size() && side[i].y < y) ++i;
    const Point &a = side[i - 1], &b = side[i];
    x.push_back(a.x + (b.x - a.x) * std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0));
  }
  return x;
}

NipGap NipStrip::at(double turn) const {
  // The second screw is the first turned by half a turn and half a period, seen from the other side.
  const std::vector<double> left = reach(turn), right = reach(turn - pi / profile_.starts);
  NipGap nip;
  for (int row = 0; row < samples_; ++row) {
    const double y = cusp_ * (2 * (row + 0.5) / samples_ - 1), ray = std::abs(y) / cusp_ * centre_ / 2;
    const double x1 = left[static_cast<std::size_t>(row)], x2 = right[static_cast<std::size_t>(samples_ - 1 - row)];
    nip.gap.push_back(centre_ - x1 - x2);
    nip.passage.push_back(centre_ - std::max(x1, ray) - std::max(x2, ray));
    nip.drag.push_back(speed_ / 2 * (x1 - x2));
  }
  return nip;
}

double sealed_nip_flux(const Profile& p, double turn) {
  const double a = std::abs(std::remainder(turn, 2 * pi / p.starts));
  const auto of_tip = [&](double from_centres) {
    const double flank = std::max(from_centres - p.alpha / 2, 0.0);
    return flank <= p.psi ? pi * (2 * p.Ce * p.R * std::cos(flank) - p.Ce * p.Ce) : 0;
  };
  return of_tip(a) - of_tip(pi / p.starts - a);
}

}  // namespace quern
