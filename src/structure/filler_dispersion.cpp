#include "structure/filler_dispersion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace quern {
namespace {

using std::numbers::pi;

// In the order of FillerParameters.
constexpr Coefficient list[] = {
    {"agglomerate_strength", Kind::pressure, 30e3, 10, 1e9, "kPa", 1.5,
     "uncalibrated: Rumpf (1962) gives 5 kPa for spheres of 1 um and 150 kPa for 30 nm, A = 1e-19 J, 1 nm apart",
     "tensile strength of the filler's agglomerates", false},
    {"primary_size", Kind::length, 1e-6, 1e-9, 1e-3, "um", 0.5, "uncalibrated: the filler's own",
     "diameter of what counts as dispersed", false},
    {"rupture_per_pass", Kind::ratio, 1, 0, 1, "1", 0.7,
     "uncalibrated: 1 breaks all that turn the right way, as Manas-Zloczower, Nir & Tadmor (1982) assume",
     "share of the agglomerates turned so that a tip pass could break them that do break", false},
    {"rupture_per_strain", Kind::ratio, 0.001, 0, 1, "1", 1.5,
     "uncalibrated: small, since what steady shear does not break in one turn it does not break in the next",
     "the same per unit of strain in the channel", false},
    {"erosion_rate", Kind::ratio, 1e-4, 0, 0.1, "1", 1.5,
     "uncalibrated: form by Rwei, Manas-Zloczower & Feke (1991), Polym. Eng. Sci. 31, 558",
     "relative radius that erosion takes per strain, at a stress equal to the strength", false},
};

double total(const Agglomerates& filler) { return std::accumulate(filler.mass.begin(), filler.mass.end(), 0.0); }

// Classes that are still agglomerates.
int coarser_classes(const Agglomerates& filler, double limit) {
  int n = 0;
  while (n < Agglomerates::classes && filler.diameter(n) > limit) ++n;
  return n;
}

// Every agglomerate breaks a Poisson number of times; those below the primary size are dispersed.
void rupture(Agglomerates& filler, double mean, double primary) {
  if (!(mean > 0)) return;
  mean = std::min(mean, 700.0);  // by when nothing is left anyway, and e^-mean is still a number
  std::array<double, Agglomerates::classes> chance{};
  chance[0] = std::exp(-mean);
  for (int k = 1; k < Agglomerates::classes; ++k) chance[k] = chance[k - 1] * mean / k;
  const int n = coarser_classes(filler, primary);
  const double before = total(filler);
  for (int i = n - 1; i >= 0; --i) {
    double broken = 0;
    for (int k = 0; k <= i; ++k) broken += filler.mass[i - k] * chance[k];
    filler.mass[i] = broken;
  }
  filler.dispersed += before - total(filler);
}

// Every radius shrinks by the same factor, and what is shed is dispersed.
void erode(Agglomerates& filler, double dose, double primary) {
  if (!(dose > 0)) return;
  const double before = total(filler);
  filler.coarsest *= std::exp(-dose);
  const int n = coarser_classes(filler, primary);
  for (int i = 0; i < Agglomerates::classes; ++i) filler.mass[i] *= i < n ? std::exp(-3 * dose) : 0;
  filler.dispersed += before - total(filler);
}

}  // namespace

std::span<const Coefficient> filler_dispersion_coefficients() { return list; }

FillerParameters filler_parameters(const Coefficients& c) {
  return {c(list[0]), c(list[1]), c(list[2]), c(list[3]), c(list[4])};
}

double Agglomerates::diameter(int i) const { return coarsest * std::exp2(-i / 3.0); }

double Agglomerates::undispersed() const { return total(*this); }

double Agglomerates::coarser(double limit) const {
  double share = 0;
  for (int i = 0; i < classes && diameter(i) >= limit; ++i) share += mass[i];
  return share;
}

double Agglomerates::mean_diameter() const {
  const double left = undispersed();
  double weighted = 0;
  for (int i = 0; i < classes; ++i) weighted += mass[i] * diameter(i);
  return left > 0 ? weighted / left : 0;
}

Agglomerates agglomerate_feed(double median, double spread) {
  median = std::max(median, 1e-12);
  Agglomerates feed{.coarsest = median};
  if (!(spread > 1)) {
    feed.mass[0] = 1;
    return feed;
  }
  const double deviation = std::log2(spread);
  feed.coarsest = median * std::exp2(3 * deviation);
  // Share coarser than a bound: of standard deviations above the median.
  const auto coarser_than = [&](double bound) {
    return std::erfc(std::log2(bound / median) / (deviation * std::numbers::sqrt2)) / 2;
  };
  double above = 0;
  for (int i = 0; i < Agglomerates::classes; ++i) {
    const bool last = i + 1 == Agglomerates::classes;
    const double here = last ? 1 : coarser_than(feed.diameter(i) * std::exp2(-1 / 6.0));
    feed.mass[i] = here - above;
    above = here;
  }
  return feed;
}

Agglomerates advance(const Agglomerates& filler, const Exposure& station, const FillerParameters& p) {
  Agglomerates after = filler;
  const double molten = station.melt_fraction, tip = station.tip_stress() / p.strength,
               granules = station.granule_stress / p.strength, channel = station.stress() / p.strength;
  const double strain = molten * station.shear_rate * station.time,
               tip_strain = molten * station.tip_passes * station.tip_rate * station.tip_time;
  double ruptures = 0;
  if (station.tip_passes > 0)
    ruptures += p.rupture_per_pass * station.tip_passes *
                (molten * share_of_orientations(tip) + (1 - molten) * share_of_orientations(granules));
  if (strain > 0) ruptures += p.rupture_per_strain * strain * share_of_orientations(channel);
  rupture(after, ruptures, p.primary);
  erode(after, p.erosion * (tip_strain * tip + strain * channel), p.primary);
  return after;
}

std::vector<Agglomerates> advance(const Agglomerates& feed, const History& history, const FillerParameters& p) {
  std::vector<Agglomerates> states;
  states.reserve(history.size());
  Agglomerates now = feed;
  for (const Exposure& station : history) states.push_back(now = advance(now, station, p));
  return states;
}

double separating_force(double viscosity, double shear_rate, double radius) {
  return 3 * pi * viscosity * shear_rate * radius * radius;
}

double sphere_attraction(double hamaker, double radius, double gap) { return hamaker * radius / (12 * gap * gap); }

double rumpf_strength(double porosity, double force, double diameter) {
  return 1.1 * (1 - porosity) / porosity * force / (diameter * diameter);
}

double share_of_orientations(double stress_over_strength) {
  if (!(stress_over_strength > 1)) return 0;
  // z = √(1 - c) sin t makes the integrand smooth and periodic in t, where the midpoint rule needs few points.
  constexpr int points = 16;
  const double c = 1 / stress_over_strength;
  double sum = 0;
  for (int i = 0; i < points; ++i) {
    const double t = pi / 2 * (i + 0.5) / points, sine = std::sin(t);
    sum += std::acos(std::min(1.0, c / (1 - (1 - c) * sine * sine))) * std::cos(t);
  }
  return std::sqrt(1 - c) * sum / (2 * points);
}

}  // namespace quern
