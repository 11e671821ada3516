#include "io/result_json.hpp"

#include <nlohmann/json.hpp>

#include "io/structure_json.hpp"

namespace quern {
namespace {
using Json = nlohmann::ordered_json;

// nlohmann writes NaN and infinity as null, which is what the format asks for.
template <class T>
Json by_stage(const ByStage<T>& s) {
  return {{"solid", s.solid}, {"transition", s.transition}, {"melt", s.melt}};
}

Json summary(const Summary& s) {
  const ByMechanism& m = s.specific_energy_by_mechanism;
  return {{"throughput", s.throughput},
          {"screw_speed", s.screw_speed},
          {"mean_residence_time", s.mean_residence_time},
          {"first_out_time", s.first_out_time},
          {"washout_95", s.washout_95},
          {"washout_99", s.washout_99},
          {"residence_by_section", by_stage(s.residence_by_section)},
          {"specific_energy", s.specific_energy},
          {"specific_energy_by_section", by_stage(s.specific_energy_by_section)},
          {"specific_energy_by_mechanism",
           {{"solid_friction", m.solid_friction},
            {"melting", m.melting},
            {"melt_shear", m.melt_shear},
            {"pressure", m.pressure}}},
          {"shaft_power", s.shaft_power},
          {"motor_power", s.motor_power},
          {"torque_per_shaft", s.torque_per_shaft},
          {"torque_share", s.torque_share},
          {"outlet_temperature", s.outlet_temperature},
          {"highest_temperature", s.highest_temperature},
          {"die_pressure", s.die_pressure},
          {"mean_fill", s.mean_fill},
          {"filled_length", s.filled_length},
          {"heater_duty", s.heater_duty},
          {"cooling_duty", s.cooling_duty},
          {"chiller_duty", s.chiller_duty}};
}

const char* name(Limit::State state) {
  return state == Limit::State::within ? "within" : state == Limit::State::near ? "near" : "over";
}

const char* name(Stage stage) {
  return stage == Stage::solid ? "solid" : stage == Stage::transition ? "transition" : "melt";
}

Json limits(const std::vector<Limit>& limits) {
  Json list = Json::array();
  for (const Limit& l : limits)
    list.push_back({{"name", l.name},
                    {"value", l.value},
                    {"limit", l.limit},
                    {"margin", l.margin},
                    {"unit", info(l.kind).si},
                    {"state", name(l.state)},
                    {"place", l.place ? Json(*l.place) : Json(nullptr)},
                    {"text", l.text}});
  return list;
}

Json profile(const ProfileTable& p) {
  return {{"position", p.position},
          {"temperature", p.temperature},
          {"pressure", p.pressure},
          {"fill", p.fill},
          {"melt_fraction", p.melt_fraction},
          {"residence_time", p.residence_time},
          {"specific_energy", p.specific_energy},
          {"element", p.element},
          {"film_temperature", p.film_temperature},
          {"wall_temperature", p.wall_temperature},
          {"softening", p.softening}};
}

Json zones(const std::vector<ZoneState>& zones) {
  Json list = Json::array();
  for (const ZoneState& z : zones)
    list.push_back({{"name", z.name},
                    {"set_temperature", z.set_temperature},
                    {"heat_from_barrel", z.heat_from_barrel},
                    {"specific_energy", z.specific_energy}});
  return list;
}

Json elements(const Screw& screw, const std::vector<ElementState>& states) {
  Json list = Json::array();
  for (std::size_t i = 0; i < states.size(); ++i) {
    const ElementState& e = states[i];
    list.push_back({{"description", i < screw.elements.size() ? describe(screw.elements[i]) : ""},
                    {"from", e.from},
                    {"to", e.to},
                    {"residence_time", e.residence_time},
                    {"specific_energy", e.specific_energy},
                    {"mean_fill", e.mean_fill},
                    {"filled_length", e.filled_length},
                    {"temperature_out", e.temperature_out},
                    {"pressure_max", e.pressure_max},
                    {"melt_fraction_out", e.melt_fraction_out},
                    {"stage", name(e.stage)}});
  }
  return list;
}

Json trust(const std::vector<Trust>& trust) {
  Json list = Json::array();
  for (const Trust& t : trust)
    list.push_back({{"closure", t.closure},
                    {"value", t.value},
                    {"unit", t.unit},
                    {"basis", t.basis},
                    {"relative_uncertainty", t.relative_uncertainty},
                    {"calibrated", t.calibrated}});
  return list;
}

Json heat(const HeatBalance& h) {
  return {
      {"shaft_power", h.shaft_power},     {"heaters", h.heaters},     {"cooling", h.cooling},    {"chiller", h.chiller},
      {"enthalpy_rise", h.enthalpy_rise}, {"flow_work", h.flow_work}, {"remainder", h.remainder}};
}

Json warnings(const std::vector<BuildWarning>& warnings) {
  Json list = Json::array();
  for (const BuildWarning& w : warnings) list.push_back({{"position", w.position}, {"what", w.what}, {"why", w.why}});
  return list;
}

Json strand(const Strand& s) {
  return {{"diameter", s.diameter}, {"speed", s.speed}, {"time_in_water", s.time_in_water},
          {"core", s.core},         {"mean", s.mean},   {"safe_core", s.safe_core}};
}

Json spread(const Spread& s) {
  return {{"specific_energy", s.specific_energy},
          {"mean_residence_time", s.mean_residence_time},
          {"outlet_temperature_K", s.outlet_temperature_K},
          {"torque_share", s.torque_share}};
}

Json head(const Trial& trial, const char* status) {
  return {{"format", "quern-result/1"},
          {"status", status},
          {"program", {{"name", "quern"}, {"version", QUERN_VERSION}}},
          {"input", trial.input_id},
          {"title", trial.title}};
}

Json stopped(const Trial& trial, const Stop& stop) {
  Json json = head(trial, stop.kind == Stop::Kind::impossible ? "impossible" : "not_converged");
  json["reason"] = {{"name", stop.name}, {"place", stop.place}, {"text", stop.text}};
  return json;
}

Json solved(const Trial& trial, const LineState& s) {
  Json json = head(trial, "solved");
  json["summary"] = summary(s.summary);
  json["limits"] = limits(s.limits);
  json["balances"] = {{"mass", s.mass_balance}, {"energy", s.energy_balance}};
  json["profile"] = profile(s.profile);
  json["zones"] = zones(s.zones);
  json["elements"] = elements(trial.screw, s.elements);
  json["residence"] = {
      {"time", s.residence.time}, {"density", s.residence.density}, {"cumulative", s.residence.cumulative}};
  json["heat"] = heat(s.heat);
  json["trust"] = trust(s.trust);
  json["cautions"] = s.cautions;
  json["warnings"] = warnings(s.build_warnings);
  if (s.strand) json["strand"] = strand(*s.strand);
  if (s.spread) json["spread"] = spread(*s.spread);
  json["numerics"] = {{"iterations", s.iterations}, {"residual", s.residual}};
  return json;
}

// A title may carry bytes that are not UTF-8; they must not stop a result from being written.
std::string text(const Json& json) { return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n'; }

}  // namespace

std::string result_json(const Trial& trial, const Solved<LineState>& state, const std::optional<Structure>& structure) {
  Json json = state ? solved(trial, *state) : stopped(trial, state.error());
  if (state && structure) json["structure"] = structure_json(*structure);
  return text(json);
}

std::string faults_json(const std::vector<Fault>& faults) {
  Json list = Json::array();
  for (const Fault& f : faults)
    list.push_back({{"file", f.file}, {"line", f.line}, {"field", f.field}, {"wrong", f.wrong}, {"right", f.right}});
  return text({{"format", "quern-result/1"}, {"status", "refused"}, {"faults", list}});
}

}  // namespace quern
