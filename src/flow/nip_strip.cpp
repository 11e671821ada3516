#include "flow/nip_strip.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>

#include "flow/reach.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

}  // namespace

NipStrip::NipStrip(const ElementShape& shape, int samples)
    : profile_(shape.profile()),
      worn_radius_(profile_.Rb - shape.tip_gap()),
      centre_(shape.centre),
      cusp_(std::sqrt(profile_.Rb * profile_.Rb - centre_ * centre_ / 4)),
      speed_(2 * pi * centre_),
      samples_(samples) {}

NipGap NipStrip::at(double turn) const {
  const auto reach_at = [&](double tip) { return reach(profile_, worn_radius_, tip, cusp_, samples_); };
  // The second screw is the first turned by half a turn and half a period, seen from the other side.
  const std::vector<double> left = reach_at(turn), right = reach_at(turn - pi / profile_.starts);
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
