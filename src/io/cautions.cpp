#include "io/cautions.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace quern {
namespace {

constexpr std::string_view feed_start =
    "Warning. Trapped gas can blow melt from the die. Keep everyone out of line with the die, flange bolts and "
    "pressure relief. Wear face and heat protection your site requires.";
constexpr std::string_view head_pressure =
    "Caution. Head pressure is rising toward the limit you entered. Reduce feed first, then speed. The machine's own "
    "trip and relief remain the protection, not this display.";
constexpr std::string_view overheated =
    "Warning. Overheated polymer gives off harmful vapour. Check extraction, reduce energy input, and see the data "
    "sheet for this lot.";
constexpr std::string_view decomposition =
    "Warning. Decomposition products of this family can be toxic or corrosive. Do not start without a review by the "
    "person responsible for safety at your site.";
constexpr std::string_view dust =
    "Warning. Fine dry polymer powder can burn or explode as a dust cloud. Have the dust assessed by a qualified "
    "person; bond and ground equipment; keep layers off surfaces; no ordinary vacuum cleaners.";
constexpr std::string_view condensation =
    "Caution. Water will condense in the throat and on floors. Dry the feed section before heating or feeding.";
constexpr std::string_view glycol =
    "Caution. Coolant may be poisonous and slippery. Check type, hoses and drip tray; see its data sheet.";
constexpr std::string_view screw_pull =
    "Danger. Lock out drive, heaters, feeders and pelletizer, and prove zero energy, as your site requires. Screws are "
    "hot, heavy and sharp; support them along their length; lift with help.";
constexpr std::string_view cleaning =
    "Caution. Open flames damage hardened elements and make fume. Use warm elements, soft tools and extraction.";
constexpr std::string_view threading =
    "Danger. Cutter and rolls do not distinguish strand from fingers. Guards closed; use the strand tool.";
constexpr std::string_view trough = "Caution. Wet floor near mains heaters. Keep cables out, wipe spills.";
constexpr std::string_view computed = "Computed, not measured. Do not set limits or protections from it.";
constexpr std::string_view general =
    "Information to support trained people. It does not replace the machine manual, your site's procedures, local "
    "codes "
    "or a qualified person's judgement.";

// Dew point of air at 22 degC and 50 % relative humidity (Magnus form), a common indoor climate.
constexpr double dew_point = 284.25;

bool leaves_as_melt(const LineState& s) {
  return !s.profile.melt_fraction.empty() && s.profile.melt_fraction.back() > 0.5;
}

/// A limit of this name that is near or over.
const Limit* pressing(const LineState& s, std::string_view word) {
  const auto found = std::find_if(s.limits.begin(), s.limits.end(), [&](const Limit& l) {
    return l.state != Limit::State::within && l.name.find(word) != std::string::npos;
  });
  return found == s.limits.end() ? nullptr : &*found;
}

std::string torque_notice(const Limit& torque) {
  const double left = torque.limit > 0 ? 100 * torque.margin / torque.limit : 0;
  return fmt::format(
      "Notice. Torque margin is {:.0f} %. Lower feed before lowering speed; let a trained operator judge.", left);
}

bool has_hazard(const Trial& trial) {
  return std::any_of(trial.feeds.begin(), trial.feeds.end(),
                     [](const Feed& f) { return f.material.hazard != Hazard::none; });
}

double hottest(const LineState& s) {
  double T = s.summary.highest_temperature;
  for (const double film : s.profile.film_temperature)
    if (std::isfinite(film)) T = std::max(T, film);
  return T;
}

bool passes_degradation_guide(const Trial& trial, const LineState& s) {
  return std::any_of(trial.feeds.begin(), trial.feeds.end(), [&](const Feed& f) {
    return f.material.degradation_guide && hottest(s) > *f.material.degradation_guide;
  });
}

// Granules of a melting polymer worked by kneading below their melting point, or powder at the end.
bool makes_powder(const Trial& trial, const LineState& s) {
  const bool granules = std::any_of(trial.feeds.begin(), trial.feeds.end(),
                                    [](const Feed& f) { return f.material.state == State::melting; });
  if (!granules || s.elements.size() != trial.screw.elements.size()) return false;
  const bool chilled = std::any_of(trial.machine.zones.begin(), trial.machine.zones.end(),
                                   [](const Zone& z) { return z.cooling == Cooling::chiller; });
  if (!leaves_as_melt(s)) return true;
  for (std::size_t i = 0; i < s.elements.size(); ++i)
    if (chilled && trial.screw.elements[i].kind == ElementKind::kneading && s.elements[i].stage == Stage::solid)
      return true;
  return false;
}

bool below_dew_point(const Trial& trial) {
  return std::any_of(trial.zone_temperature.begin(), trial.zone_temperature.end(),
                     [](double T) { return T < dew_point; });
}

}  // namespace

std::vector<std::string> cautions(const Trial& trial, const LineState& state) {
  std::vector<std::string> list;
  const auto add = [&](bool applies, std::string_view text) {
    if (applies) list.emplace_back(text);
  };
  add(trial.machine.die && leaves_as_melt(state), feed_start);
  add(pressing(state, "pressure") != nullptr, head_pressure);
  if (const Limit* torque = pressing(state, "torque")) list.push_back(torque_notice(*torque));
  add(passes_degradation_guide(trial, state), overheated);
  add(has_hazard(trial), decomposition);
  add(makes_powder(trial, state), dust);
  add(below_dew_point(trial), condensation);
  add(trial.machine.chiller && trial.machine.chiller->glycol > 0, glycol);
  add(trial.take_off.has_value(), threading);
  add(trial.take_off.has_value(), trough);
  add(true, computed);
  add(true, general);
  return list;
}

std::vector<std::string> build_cautions() {
  return {std::string(screw_pull), std::string(cleaning), std::string(general)};
}

std::string_view general_caution() { return general; }

}  // namespace quern
