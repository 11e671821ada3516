#include "structure/heat_history.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quern {
namespace {

constexpr double gas_constant = 8.314462618;

constexpr Coefficient list[] = {
    {"degradation_activation", Kind::molar_energy, 150e3, 0, 400e3, "kJ/mol", 0.4,
     "value from memory: 80 to 120 where air or stabilizer decide, 200 to 250 in pure pyrolysis",
     "apparent activation energy of degradation, for the heat dose", true},
};

std::vector<double> collect(std::span<const HeatHistory> parcels, double HeatHistory::* figure) {
  std::vector<double> values;
  values.reserve(parcels.size());
  for (const HeatHistory& parcel : parcels) values.push_back(parcel.*figure);
  return values;
}

}  // namespace

std::span<const Coefficient> heat_history_coefficients() { return list; }

std::optional<HeatParameters> heat_parameters(const Material& material, const Coefficients& coefficients) {
  if (!material.degradation_guide) return std::nullopt;
  return HeatParameters{.guide = *material.degradation_guide, .activation = coefficients(list[0])};
}

double arrhenius_factor(const HeatParameters& p, double T) {
  return std::exp(-p.activation / gas_constant * (1 / std::max(T, 1.0) - 1 / p.guide));
}

HeatHistory advance(HeatHistory heat, const Exposure& e, const HeatParameters& p) {
  if (e.time <= 0) return heat;
  const double hottest = std::max(e.hottest, e.temperature);
  heat.time += e.time;
  heat.dose += e.time * arrhenius_factor(p, e.temperature);
  heat.highest_dose += e.time * arrhenius_factor(p, hottest);
  if (e.temperature > p.guide) heat.time_above += e.time;
  if (hottest > p.guide) heat.highest_time_above += e.time;
  heat.peak = std::max(heat.peak, e.temperature);
  heat.hottest = std::max(heat.hottest, hottest);
  return heat;
}

std::vector<HeatHistory> heat_along(HeatHistory heat, const History& history, const HeatParameters& parameters) {
  std::vector<HeatHistory> after;
  after.reserve(history.size());
  for (const Exposure& exposure : history) after.push_back(heat = advance(heat, exposure, parameters));
  return after;
}

EnsembleHeat ensemble_heat(std::span<const HeatHistory> parcels, std::span<const double> mass) {
  const auto above = collect(parcels, &HeatHistory::time_above),
             touched = collect(parcels, &HeatHistory::highest_time_above);
  const double least = std::numeric_limits<double>::min();
  const double time = statistics(collect(parcels, &HeatHistory::time), mass).mean;
  return {.dose = statistics(collect(parcels, &HeatHistory::dose), mass),
          .highest_dose = statistics(collect(parcels, &HeatHistory::highest_dose), mass),
          .ever_above = 1 - share_below(above, least, mass),
          .ever_touched = 1 - share_below(touched, least, mass),
          .held_above = time > 0 ? statistics(above, mass).mean / time : 0};
}

}  // namespace quern
