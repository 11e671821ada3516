#include "jobs/material_fields.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <string>
#include <utility>
#include <vector>

#include "base/error.hpp"
#include "io/material_library.hpp"

namespace quern {
namespace {

using Field = std::pair<std::string_view, Kind>;

constexpr std::array fields{
    Field{"density", Kind::density},
    Field{"density.rho", Kind::density},
    Field{"density.slope", Kind::density_slope},
    Field{"density.T_ref", Kind::temperature},
    Field{"density.b1", Kind::specific_volume},
    Field{"density.b2", Kind::specific_volume_slope},
    Field{"density.b3", Kind::pressure},
    Field{"density.b4", Kind::per_temperature},
    Field{"density.b5", Kind::temperature},
    Field{"density.b6", Kind::specific_volume_curve},
    Field{"heat_capacity", Kind::heat_capacity},
    Field{"heat_capacity_solid", Kind::heat_capacity},
    Field{"heat_capacity_melt", Kind::heat_capacity},
    Field{"melting_temperature", Kind::temperature},
    Field{"melting_width", Kind::temperature_difference},
    Field{"heat_of_fusion", Kind::specific_energy},
    Field{"conductivity", Kind::conductivity},
    Field{"conductivity_solid", Kind::conductivity},
    Field{"degradation_guide", Kind::temperature},
    Field{"max_packing", Kind::ratio},
    Field{"viscosity.eta", Kind::viscosity},
    Field{"viscosity.rate", Kind::rate},
    Field{"viscosity.n", Kind::ratio},
    Field{"viscosity.eta0", Kind::viscosity},
    Field{"viscosity.eta_inf", Kind::viscosity},
    Field{"viscosity.tau_star", Kind::pressure},
    Field{"viscosity.lambda", Kind::time},
    Field{"viscosity.a", Kind::ratio},
    Field{"viscosity.D1", Kind::viscosity},
    Field{"viscosity.D2", Kind::temperature},
    Field{"viscosity.D3", Kind::temperature_per_pressure},
    Field{"viscosity.A1", Kind::ratio},
    Field{"viscosity.A2", Kind::temperature_difference},
    Field{"viscosity.pressure", Kind::per_pressure},
    Field{"viscosity.shift.E", Kind::molar_energy},
    Field{"viscosity.shift.C1", Kind::ratio},
    Field{"viscosity.shift.C2", Kind::temperature_difference},
    Field{"viscosity.shift.b", Kind::per_temperature},
    Field{"viscosity.shift.T_ref", Kind::temperature},
    Field{"solid.density", Kind::density},
    Field{"solid.bulk_loose", Kind::density},
    Field{"solid.bulk_compacted", Kind::density},
    Field{"solid.size", Kind::length},
    Field{"solid.friction", Kind::ratio},
    Field{"solid.yield_stress", Kind::pressure},
    Field{"solid.yield_reference_temperature", Kind::temperature},
    Field{"solid.yield_zero_temperature", Kind::temperature},
    Field{"solid.yield_reference_rate", Kind::rate},
    Field{"solid.yield_per_decade", Kind::ratio},
    Field{"solid.softening_temperature", Kind::temperature},
};

std::string_view shift_law(const Viscosity& v) {
  if (v.k2 != 0) return "exponential";
  if (v.k1 == 0) return "none";
  return v.T_vogel == 0 ? "arrhenius" : "wlf";
}

std::string_view rate_law(const Viscosity& v) {
  if (v.n == 1 || v.lambda <= 0) return "newtonian";
  if (!v.plateau) return "power law";
  return v.yasuda == 1 - v.n && v.eta_inf == 0 ? "cross" : "carreau-yasuda";
}

/// "did you mean "a", "b" or "c"?"; names that contain the word before the nearest by spelling.
std::string offer(std::string_view name) {
  std::vector<std::string_view> names, holding;
  for (const Material& m : material_library()) {
    names.push_back(m.name);
    if (name.size() > 2 && m.name.find(name) != std::string::npos) holding.push_back(m.name);
  }
  if (const std::string_view near = nearest(name, names); holding.empty() && !near.empty()) holding.push_back(near);
  if (holding.empty()) return "`quern materials` lists the library";
  std::string text = "did you mean ";
  for (std::size_t i = 0; i < holding.size(); ++i)
    text += fmt::format("{}\"{}\"", i == 0 ? "" : i + 1 == holding.size() ? " or " : ", ", holding[i]);
  return text + "?";
}

}  // namespace

std::optional<Kind> material_field_kind(std::string_view field) {
  const auto* found = std::ranges::find(fields, field, &Field::first);
  if (found == fields.end()) return std::nullopt;
  return found->second;
}

std::string viscosity_law(const Viscosity& v) { return fmt::format("{}, shift {}", rate_law(v), shift_law(v)); }

std::string_view density_law(const Density& d) {
  switch (d.law) {
    case Density::Law::constant:
      return "constant";
    case Density::Law::linear:
      return "linear";
    case Density::Law::tait:
      return "tait";
  }
  return "constant";
}

double working_temperature(const Material& m) {
  if (m.state != State::melting) return 293.15;
  const double usual = std::min(473.15, m.degradation_guide.value_or(1000) - 15);
  return std::max(usual, m.thermal.T_melt + 40);
}

const Material& material_named(std::string_view name) {
  if (const Material* m = library_material(name)) return *m;
  throw InputError({{.field = "material",
                     .wrong = fmt::format("\"{}\" is not in the library", name.substr(0, 80)),
                     .right = offer(name.substr(0, 80))}});
}

}  // namespace quern
