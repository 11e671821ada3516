#include "structure/platelets.hpp"

#include <cmath>

namespace quern {
namespace {

// In the order of PlateletParameters.
constexpr Coefficient list[] = {
    {"gallery_opening_per_time", Kind::rate, 1 / 60.0, 0, 10, "1/s", 1.0,
     "uncalibrated: a minute, the order of residence times at which Dennis et al. (2001), Polymer 42, 9513 saw most "
     "platelets apart; 0 where polymer and treatment do not suit each other",
     "share of the closed galleries that time in the melt opens, per time", false},
    {"gallery_opening_per_strain", Kind::ratio, 1e-5, 0, 1, "1", 1.5,
     "uncalibrated: less than time does in a usual channel, as Dennis et al. (2001) conclude",
     "share of the closed galleries that a unit of strain opens at the reference stress", false},
    {"gallery_reference_stress", Kind::pressure, 50e3, 1, 1e9, "kPa", 0.5, "uncalibrated: a usual stress in a channel",
     "stress at which gallery_opening_per_strain holds", false},
};

}  // namespace

std::span<const Coefficient> platelet_coefficients() { return list; }

PlateletParameters platelet_parameters(const Coefficients& c) { return {c(list[0]), c(list[1]), c(list[2])}; }

double PlateletStacks::opened() const { return -std::expm1(-exposure); }

double PlateletStacks::mean_platelets() const { return fed / (1 + (fed - 1) * opened()); }

double PlateletStacks::singles() const {
  const double q = opened();
  if (fed < 2) return fed > 1 ? q : 1;  // between one and two platelets: no inner ones
  return (2 * q + (fed - 2) * q * q) / fed;
}

double PlateletStacks::stacks_of(int n) const {
  const double q = opened(), together = std::exp(-exposure * (n - 1));
  if (n >= fed) return n > fed ? 0 : together;
  return together * (2 * q + (fed - 1 - n) * q * q);  // at an end of the fed stack, or within
}

PlateletStacks advance(const PlateletStacks& stacks, const Exposure& station, const PlateletParameters& p) {
  const double worked = station.shear_rate * station.time * station.stress() +
                        station.tip_passes * station.tip_rate * station.tip_time * station.tip_stress();
  PlateletStacks after = stacks;
  after.exposure += station.melt_fraction * (p.per_time * station.time + p.per_strain * worked / p.reference_stress);
  return after;
}

std::vector<PlateletStacks> advance(const PlateletStacks& feed, const History& history, const PlateletParameters& p) {
  std::vector<PlateletStacks> states;
  states.reserve(history.size());
  PlateletStacks now = feed;
  for (const Exposure& station : history) states.push_back(now = advance(now, station, p));
  return states;
}

double bragg_spacing(double wavelength, double two_theta) { return wavelength / (2 * std::sin(two_theta / 2)); }

}  // namespace quern
