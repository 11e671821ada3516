#include "jobs/materials.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "io/material_library.hpp"

namespace quern {
namespace {

using json = nlohmann::ordered_json;

const Material& wanted(const std::string& name) {
  if (const Material* m = library_material(name)) return *m;
  std::vector<std::string_view> names;
  for (const Material& m : material_library()) names.push_back(m.name);
  const std::string_view near = nearest(name, names);
  throw InputError({{.field = "material", .wrong = fmt::format("\"{}\" is not in the library", name.substr(0, 80)),
                     .right = near.empty() ? "`quern materials` lists it" : fmt::format("did you mean \"{}\"?", near)}});
}

double working_temperature(const Material& m) { return m.state == State::melting ? m.thermal.T_melt + 40 : 293.15; }

std::string list_row(const Material& m) {
  const double T = working_temperature(m);
  if (m.state == State::filler) return fmt::format("  {:<42}{:>22.0f}   packs to {:.0f} %\n", m.name, m.density.rho, 100 * m.max_packing);
  return fmt::format("  {:<42}{:>6.0f}{:>10.0f}{:>6.0f}{:>10.0f} at {:.0f} degC\n", m.name, m.thermal.T_melt - 273.15, m.solid.softening - 273.15, m.solid.density, viscosity(m.viscosity, 100, T), T - 273.15);
}

std::string list_text() {
  std::string out = fmt::format("Polymers\n  {:<42}{:>6}{:>10}{:>6}{:>10}\n", "", "melts", "softens", "kg/m3", "Pa s at 100 1/s");
  for (const Material& m : material_library())
    if (m.state != State::filler) out += list_row(m);
  out += fmt::format("\nFillers\n  {:<42}{:>22}\n", "", "kg/m3");
  for (const Material& m : material_library())
    if (m.state == State::filler) out += list_row(m);
  return out + "\nTemperatures in degC; \"melts\" is the flow temperature of an amorphous polymer.\n`quern materials NAME` shows every number with its source. Not a substitute for a data sheet.";
}

std::string viscosity_table(const Material& m) {
  const double T = working_temperature(m);
  std::string out = fmt::format("\nViscosity, Pa s{:>16}{:>12}\n", fmt::format("{:.0f} degC", T - 273.15), fmt::format("{:.0f} degC", T - 253.15));
  for (const double rate : {1.0, 10.0, 100.0, 1000.0}) out += fmt::format("{:>12.0f} 1/s{:>15.3g}{:>12.3g}\n", rate, viscosity(m.viscosity, rate, T), viscosity(m.viscosity, rate, T + 20));
  return out;
}

json as_json(const Material& m) {
  json numbers = json::array();
  for (const Provenance& p : m.provenance) numbers.push_back({{"field", p.field}, {"value", p.value}, {"source", p.source}});
  json out = {{"name", m.name}, {"family", m.family}, {"state", m.state == State::filler ? "filler" : m.state == State::liquid ? "liquid" : "melting"}};
  if (m.state == State::melting) {
    out["melting_temperature"] = m.thermal.T_melt, out["softening_temperature"] = m.solid.softening;
    const double T = working_temperature(m);
    out["viscosity_at"] = {{"temperature", T}, {"rate", 100.0}, {"viscosity", viscosity(m.viscosity, 100, T)}};
  }
  out["density"] = m.state == State::melting ? m.solid.density : m.density.rho;
  out["degradation_guide"] = m.degradation_guide ? json(*m.degradation_guide) : json(nullptr);
  out["numbers"] = numbers;
  return out;
}

}  // namespace

std::string materials_text(const std::optional<std::string>& name) {
  if (!name) return list_text();
  const Material& m = wanted(*name);
  std::string out = fmt::format("{}\nfamily: {}\n\n", m.name, m.family);
  for (const Provenance& p : m.provenance) out += fmt::format("  {:<34}{:<20}{}\n", p.field, p.value, p.source);
  if (m.state != State::filler) out += viscosity_table(m);
  return out + "\nNot a substitute for the data sheet of the lot in hand.";
}

std::string materials_json(const std::optional<std::string>& name) {
  json list = json::array();
  if (name) list.push_back(as_json(wanted(*name)));
  else
    for (const Material& m : material_library()) list.push_back(as_json(m));
  return json{{"format", "quern-materials/1"}, {"materials", list}}.dump(2);
}

}  // namespace quern
