#pragma once
#include <optional>
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "materials/material.hpp"
#include "structure/coefficients.hpp"
#include "structure/treatment.hpp"
namespace quern {

/// Of one polymer.
struct HeatParameters {
  double guide = 500;         ///< degradation guide: stock temperature not to exceed [K]
  double activation = 150e3;  ///< apparent activation energy of degradation [J/mol]
};

std::span<const Coefficient> heat_history_coefficients();
/// None where the material has no degradation guide.
std::optional<HeatParameters> heat_parameters(const Material& material, const Coefficients& coefficients);

/// What heat a parcel has had.
///
/// Dose: time at the guide temperature that would do the same to a reaction of one activation energy,
///
///   t_eq = ∫ exp[-E/R (1/T - 1/T_guide)] dt
///
/// a comparison between trials: whether a dose does harm depends on the resin, its stabilizer and air, not known here.
/// By the stock's mean temperature, and by its hottest place in each station (the film on granules, the element's end):
/// the truth of one parcel lies between. Source: Arrhenius's law for one rate; common practice.
struct HeatHistory {
  double time = 0;  ///< [s]
  double dose = 0;  ///< by the mean temperature [s]
  double highest_dose = 0;  ///< by the hottest [s]
  double time_above = 0;  ///< spent over the guide, by the mean temperature [s]
  double highest_time_above = 0;  ///< by the hottest [s]
  double peak = 0;  ///< highest mean temperature of a station [K]
  double hottest = 0;  ///< highest met [K]
};

/// exp[-E/R (1/T - 1/T_guide)] [1].
double arrhenius_factor(const HeatParameters& parameters, double T);

/// Heat after one station. A station of no time changes nothing.
HeatHistory advance(HeatHistory heat, const Exposure& exposure, const HeatParameters& parameters);
/// After every station.
std::vector<HeatHistory> heat_along(HeatHistory heat, const History& history, const HeatParameters& parameters);

/// An ensemble of parcels at the end of the screw.
struct EnsembleHeat {
  Statistics dose{}, highest_dose{};  ///< [s]
  double ever_above = 0;  ///< share by mass that has been over the guide, by the mean temperature [1]
  double ever_touched = 0;  ///< by the hottest [1]
  double held_above = 0;  ///< share of what the screws hold at any moment that is over the guide: Σ m t_above/Σ m t [1]
};
/// @param mass as in statistics
/// @throws InputError  as statistics
EnsembleHeat ensemble_heat(std::span<const HeatHistory> parcels, std::span<const double> mass = {});

}  // namespace quern
