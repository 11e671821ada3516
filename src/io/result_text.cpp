#include "io/result_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "io/report_numbers.hpp"
#include "io/structure_text.hpp"

namespace quern {
namespace {

constexpr std::size_t columns = 80;

/// A terminal may not know the degree sign.
std::string plain_units(std::string text) {
  constexpr std::string_view degree = "°C";
  for (std::size_t at = 0; (at = text.find(degree, at)) != std::string::npos;) text.replace(at, degree.size(), "degC");
  return text;
}

/// Words broken at 80 columns, further lines indented; the caller indents the first.
std::string wrapped(std::string_view text, std::size_t indent) {
  std::string out, line;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string_view word = text.substr(at, end - at);
    if (!line.empty() && line.size() + 1 + word.size() > columns - indent) {
      out += (out.empty() ? "" : std::string(indent, ' ')) + line + '\n';
      line.clear();
    }
    if (!line.empty()) line += ' ';
    line += word;
    at = end + 1;
  }
  return out + (out.empty() ? "" : std::string(indent, ' ')) + line;
}

std::string row(std::string_view name, const std::string& value) { return fmt::format("  {:<22}{}\n", name, value); }

std::string headline(const LineState& s) {
  const Summary& m = s.summary;
  const auto spread = [&](double share) { return s.spread ? fmt::format("  +- {}", percent(share)) : std::string(); };
  std::string out;
  out += row("residence time", fmt::format("{} s{}", significant(m.mean_residence_time),
                                           spread(s.spread ? s.spread->mean_residence_time : 0)));
  out += row("", fmt::format("solid {} s, transition {} s, melt {} s", significant(m.residence_by_section.solid),
                             significant(m.residence_by_section.transition), significant(m.residence_by_section.melt)));
  out += row("", fmt::format("first out {} s, 95 % washed out {} s, 99 % {} s", significant(m.first_out_time),
                             significant(m.washout_95), significant(m.washout_99)));
  out += row("specific energy", energy_both(m.specific_energy) + spread(s.spread ? s.spread->specific_energy : 0));
  const auto kj = [](double e) { return significant(e / 1e3); };
  out += row("  (at the shafts)",
             fmt::format("solid {}, transition {}, melt {} kJ/kg", kj(m.specific_energy_by_section.solid),
                         kj(m.specific_energy_by_section.transition), kj(m.specific_energy_by_section.melt)));
  const ByMechanism& e = m.specific_energy_by_mechanism;
  out += row("", fmt::format("solid friction {}, melting {}, melt shear {},", kj(e.solid_friction), kj(e.melting),
                             kj(e.melt_shear)));
  out += row("", fmt::format("pressure {} kJ/kg", kj(e.pressure)));
  out += row("shaft power, torque",
             fmt::format("{} kW; {} N m a shaft, {} of the rating", significant(m.shaft_power / 1e3),
                         significant(m.torque_per_shaft), percent(m.torque_share)));
  out += row("motor power", fmt::format("{} kW", significant(m.motor_power / 1e3)));
  out += row("outlet temperature",
             fmt::format("{} degC{}; highest {} degC", celsius(m.outlet_temperature),
                         s.spread ? fmt::format("  +- {:.0f} K", s.spread->outlet_temperature_K) : "",
                         celsius(m.highest_temperature)));
  out += row("die pressure", fmt::format("{} bar", significant(m.die_pressure / 1e5)));
  out += row("fill", fmt::format("mean {}; {} mm stand full of melt", percent(m.mean_fill),
                                 significant(m.filled_length * 1e3)));
  return out;
}

std::string limit_rows(const LineState& s) {
  std::string out = fmt::format("\nLimits\n  {:<18}{:>12}{:>12}{:>14}   {}\n", "", "value", "limit", "margin", "");
  for (const Limit& l : s.limits) {
    const char* word = l.state == Limit::State::over ? "OVER" : l.state == Limit::State::near ? "near" : "within";
    out += fmt::format("  {:<18}{:>12}{:>12}{:>14}   {}{}\n", l.name, plain_units(limit_value(l)),
                       plain_units(limit_limit(l)), limit_margin(l), word,
                       l.state != Limit::State::within && l.place ? fmt::format(" at {:.0f} mm", 1e3 * *l.place) : "");
  }
  return out;
}

std::string heat_rows(const LineState& s) {
  const HeatBalance& h = s.heat;
  return fmt::format(
      "\nHeat  shafts {:.0f} W + heaters {:.0f} W - cooling {:.0f} W - chiller {:.0f} W\n      = into the stock {:.0f} "
      "W; balances close to {:.0e} (energy), {:.0e} (mass)\n",
      h.shaft_power, h.heaters, h.cooling, h.chiller, h.enthalpy_rise, std::fabs(s.energy_balance),
      std::fabs(s.mass_balance));
}

std::string trust_rows(const LineState& s) {
  std::vector<Trust> weakest = s.trust;
  std::ranges::stable_sort(
      weakest, [](const Trust& a, const Trust& b) { return a.relative_uncertainty > b.relative_uncertainty; });
  std::string out = "\nWhat it rests on (the three least certain closures; --report lists all)\n";
  for (std::size_t i = 0; i < std::min<std::size_t>(3, weakest.size()); ++i) {
    const Trust& t = weakest[i];
    const std::string unit = t.unit == "1" ? "" : " " + t.unit;
    out += "  " +
           wrapped(fmt::format("{} = {}{}, +- {}: {}", t.closure, significant(t.value), unit,
                               percent(t.relative_uncertainty), t.basis),
                   4) +
           '\n';
  }
  return out;
}

}  // namespace

std::string verdict(const LineState& s) {
  const Limit* tightest = nullptr;
  std::size_t over = 0;
  const auto tightness = [](const Limit& l) {
    return l.kind == Kind::temperature ? l.margin / 100 : l.margin / std::max(std::fabs(l.limit), 1e-12);
  };
  for (const Limit& l : s.limits) {
    over += l.state == Limit::State::over;
    if (tightest == nullptr || tightness(l) < tightness(*tightest)) tightest = &l;
  }
  std::string torque = fmt::format("Takes {} of the torque rating.", percent(s.summary.torque_share));
  if (tightest == nullptr) return torque;
  const std::string limit = fmt::format("{}: {}.", tightest->name, tightest->text);
  if (over == 0) return fmt::format("Runs within every limit. {} Nearest limit, {}", torque, limit);
  if (over == 1) return fmt::format("One limit is exceeded, {} {}", limit, torque);
  return fmt::format("{} limits are exceeded, by most {} {}", over, limit, torque);
}

std::string result_text(const Trial& trial, const LineState& s, const std::optional<Structure>& structure) {
  std::string out = fmt::format("{}\n{}, screw {}: {} at {}\n\n{}\n\n", trial.title, trial.machine.name,
                                trial.screw.name, show(s.summary.throughput, Kind::mass_flow, "kg/h"),
                                show(s.summary.screw_speed, Kind::screw_speed, "rpm"), wrapped(verdict(s), 0));
  out += headline(s);
  out += limit_rows(s);
  out += heat_rows(s);
  if (structure) out += structure_text(*structure);
  if (!s.build_warnings.empty()) out += "\nThe build\n";
  for (const BuildWarning& w : s.build_warnings)
    out += "  " +
           wrapped(fmt::format("at {}: {}: {}", place_text(w.position, trial.machine.section.screw_diameter), w.what,
                               w.why),
                   4) +
           '\n';
  out += trust_rows(s);
  if (!s.cautions.empty()) out += "\nCautions\n";
  for (const std::string& caution : s.cautions) out += "  " + wrapped(caution, 2) + '\n';
  while (!out.empty() && out.back() == '\n') out.pop_back();
  return out;
}

}  // namespace quern
