#include "jobs/materials.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <vector>

#include "io/material_library.hpp"
#include "jobs/material_fields.hpp"

namespace quern {
namespace {

using json = nlohmann::ordered_json;
constexpr std::size_t columns = 98;
constexpr std::array rates{1.0, 10.0, 100.0, 1000.0};

double celsius(double T) { return T - 273.15; }

std::string_view state_word(const Material& m) {
  switch (m.state) {
    case State::melting:
      return "melting";
    case State::liquid:
      return "liquid";
    case State::filler:
      return "filler";
  }
  return "";
}

std::string_view hazard_word(Hazard hazard) {
  constexpr std::array<std::string_view, 6> words{"none",   "chlorinated",    "fluorinated",
                                                  "acetal", "flame retarded", "unknown"};
  return words.at(static_cast<std::size_t>(hazard));
}

// --- the list ---

std::string polymer_row(const Material& m) {
  const double T = working_temperature(m);
  return fmt::format("  {:<34}{:<24}{:>6.0f}{:>8.0f}{:>8.0f}{:>8.4g}{:>7.0f}\n", m.name, m.family,
                     celsius(m.thermal.T_melt), celsius(m.solid.softening), m.solid.density,
                     viscosity(m.viscosity, 100, T), celsius(T));
}

std::string filler_row(const Material& m) {
  return fmt::format("  {:<38}{:<20}{:>8.0f}{:>10.0f}{:>12.0f}\n", m.name, m.family, m.density.rho, m.solid.bulk_loose,
                     100 * m.max_packing);
}

std::string list_text() {
  std::string out = fmt::format("{:<36}{:<24}{:>6}{:>8}{:>8}{:>15}\n", "Polymers", "family", "melts", "sticks",
                                "density", "viscosity at");
  out += fmt::format("{:60}{:>6}{:>8}{:>8}{:>8}{:>7}\n", "", "degC", "degC", "kg/m3", "Pa s", "degC");
  for (const Material& m : material_library())
    if (m.state != State::filler) out += polymer_row(m);
  out += fmt::format("\n{:<40}{:<20}{:>8}{:>10}{:>12}\n", "Fillers", "family", "density", "poured", "packs to");
  out += fmt::format("{:60}{:>8}{:>10}{:>12}\n", "", "kg/m3", "kg/m3", "vol %");
  for (const Material& m : material_library())
    if (m.state == State::filler) out += filler_row(m);
  return out +
         "\nMelts: flow temperature where the polymer is amorphous. Sticks: where powder of it begins to.\n"
         "Viscosity at 100 1/s. `quern materials NAME` shows every number with its source.\n"
         "Typical of a kind of material; not a substitute for the data sheet of the lot in hand.";
}

// --- one material ---

/// Sources in the order of first use, so that a long one is printed once.
class Footnotes {
 public:
  std::size_t number(const std::string& source) {
    const auto found = std::ranges::find(sources_, source);
    if (found != sources_.end()) return static_cast<std::size_t>(found - sources_.begin()) + 1;
    sources_.push_back(source);
    return sources_.size();
  }
  std::string text() const {
    std::string out = "\nWhere the numbers come from\n";
    for (std::size_t i = 0; i < sources_.size(); ++i) out += wrapped(fmt::format("{:>4}  ", i + 1), sources_[i]);
    return out;
  }

 private:
  static std::string wrapped(const std::string& lead, std::string_view text) {
    std::string out = lead;
    while (text.size() > columns - lead.size()) {
      auto cut = text.rfind(' ', columns - lead.size());
      if (cut == std::string_view::npos) cut = columns - lead.size();
      out += fmt::format("{}\n{:{}}", text.substr(0, cut), "", lead.size());
      text.remove_prefix(std::min(text.size(), cut + 1));
    }
    return out + std::string(text) + "\n";
  }
  std::vector<std::string> sources_{};
};

bool is_under(std::string_view field, std::string_view group) {
  return field == group || (field.starts_with(group) && field.size() > group.size() && field[group.size()] == '.');
}

/// The numbers of a file's sub-table, or with an empty group those outside of every sub-table.
std::string group_text(const Material& m, std::string_view title, std::string_view group, Footnotes& notes) {
  std::string out;
  for (const Provenance& p : m.provenance) {
    if (!material_field_kind(p.field)) continue;
    const bool is_elsewhere =
        is_under(p.field, "viscosity") || is_under(p.field, "density") || is_under(p.field, "solid");
    if (group.empty() ? is_elsewhere : !is_under(p.field, group)) continue;
    const std::string key =
        p.field.size() > group.size() && !group.empty() ? p.field.substr(group.size() + 1) : p.field;
    out += fmt::format("  {:<30}{:<24}[{}]\n", key, p.value, notes.number(p.source));
  }
  return out.empty() ? out : fmt::format("\n{}\n{}", title, out);
}

std::string viscosity_table(const Material& m) {
  const double T = working_temperature(m), warmer = T + 20;
  std::string out = fmt::format("\n{:<32}{:>16}{:>14}\n", "Viscosity, Pa s, at", fmt::format("{:.0f} degC", celsius(T)),
                                fmt::format("{:.0f} degC", celsius(warmer)));
  for (const double rate : rates)
    out += fmt::format("  {:<30}{:>16.4g}{:>14.4g}\n", fmt::format("{:.0f} 1/s", rate), viscosity(m.viscosity, rate, T),
                       viscosity(m.viscosity, rate, warmer));
  return out;
}

std::string one_text(const Material& m) {
  Footnotes notes;
  std::string out =
      fmt::format("{}\nfamily: {}; state: {}; hazard: {}\n", m.name, m.family, state_word(m), hazard_word(m.hazard));
  if (m.state != State::filler)
    out += group_text(m, fmt::format("viscosity ({})", viscosity_law(m.viscosity)), "viscosity", notes);
  const std::string_view of = m.state == State::filler ? "of the particle" : "of the melt";
  out += group_text(m, fmt::format("density {} ({})", of, density_law(m.density)), "density", notes);
  out += group_text(m, m.state == State::filler ? "heat and packing" : "heat", "", notes);
  out += group_text(m, m.state == State::filler ? "solid (the powder)" : "solid (the granules)", "solid", notes);
  if (m.state != State::filler) out += viscosity_table(m);
  return out + notes.text() + "\nNot a substitute for the data sheet of the lot in hand.";
}

// --- for programs ---

json number_json(const Provenance& p) {
  json out{{"field", p.field}, {"text", p.value}};
  const auto kind = material_field_kind(p.field);
  double si = 0;
  if (kind && !parse_quantity(p.value, *kind, si)) {
    out["value"] = si;
    out["unit"] = info(*kind).si;
  }
  out["source"] = p.source;
  return out;
}

json curve_json(const Material& m, double T) {
  json out = json::array();
  for (const double rate : rates)
    out.push_back({{"temperature", T}, {"rate", rate}, {"viscosity", viscosity(m.viscosity, rate, T)}});
  return out;
}

json material_json(const Material& m) {
  json out{{"name", m.name}, {"family", m.family}, {"state", state_word(m)}, {"hazard", hazard_word(m.hazard)}};
  out["density"] = m.state == State::melting ? m.solid.density : m.density.rho;
  out["degradation_guide"] = m.degradation_guide ? json(*m.degradation_guide) : json(nullptr);
  if (m.state == State::melting) {
    out["melting_temperature"] = m.thermal.T_melt;
    out["softening_temperature"] = m.solid.softening;
  }
  if (m.state == State::filler) {
    out["max_packing"] = m.max_packing;
  } else {
    out["viscosity_law"] = viscosity_law(m.viscosity);
    out["viscosity"] = curve_json(m, working_temperature(m));
  }
  out["density_law"] = density_law(m.density);
  out["numbers"] = json::array();
  for (const Provenance& p : m.provenance)
    if (material_field_kind(p.field)) out["numbers"].push_back(number_json(p));
  return out;
}

}  // namespace

std::string materials_text(const std::optional<std::string>& name) {
  return name ? one_text(material_named(*name)) : list_text();
}

std::string materials_json(const std::optional<std::string>& name) {
  json list = json::array();
  if (name) list.push_back(material_json(material_named(*name)));
  else
    for (const Material& m : material_library()) list.push_back(material_json(m));
  return json{{"format", "quern-materials/1"}, {"materials", list}}.dump(2);
}

}  // namespace quern
