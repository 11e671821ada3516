#pragma once
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "structure/coefficients.hpp"
namespace quern {

/// Constants of the model. It is empirical and none of them is known: figures compare one trial with another.
std::span<const Coefficient> platelet_coefficients();

/// Values in force, SI.
struct PlateletParameters {
  double per_time;           ///< galleries opened per time in the melt, relative [1/s]
  double per_strain;         ///< and per unit of strain at reference_stress, in proportion to stress [1]
  double reference_stress;   ///< [Pa]
};
PlateletParameters platelet_parameters(const Coefficients& coefficients);

/// Stacks of platelets, fed with equal numbers in each, of whose galleries (the spaces between neighbours) some opened.
struct PlateletStacks {
  double fed = 1;  ///< platelets in a stack as fed [1], at least 1
  double exposure = 0;  ///< each gallery is open with chance q = 1 - e^-exposure [1]

  double opened() const;  ///< q [1]
  double mean_platelets() const;  ///< per stack, singles among them: fed/(1 + (fed - 1) q) [1]
  double singles() const;  ///< share of platelets with no neighbour: (2q + (fed - 2) q²)/fed, 1 when fed = 1 [1]
  double stacks_of(int n) const;  ///< stacks of n platelets, per stack fed [1]; n from 1 to a whole number fed
  bool operator==(const PlateletStacks&) const = default;
};

/// The stacks after one station: galleries open independently, at a rate of a part for time in the melt (chains
/// diffusing in between) and a part for shear,
///
///   d exposure = φ_melt [per_time dt + per_strain (σ/σ_ref) dγ], tips counted
/// so that stacks part as chains do in random scission; every platelet is kept. That time rather than shear decides
/// follows Dennis et al. (2001), Polymer 42, 9513 (from a summary); their optimum of back-mixing is not in it, nor is
/// whether the polymer and the clay's treatment let galleries open at all: see per_time = 0. Some 10 ns a station.
PlateletStacks advance(const PlateletStacks& stacks, const Exposure& station, const PlateletParameters& p);

/// After every station of a history, shape (stations).
std::vector<PlateletStacks> advance(const PlateletStacks& feed, const History& history, const PlateletParameters& p);

/// Spacing of layers from an X-ray reflection, wavelength/(2 sin θ) (Bragg) [m].
/// @param wavelength [m], copper Kα 1.5406e-10 @param two_theta the angle as plotted [rad]
double bragg_spacing(double wavelength, double two_theta);

}  // namespace quern
