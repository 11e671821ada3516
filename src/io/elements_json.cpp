#include "io/elements_json.hpp"

#include <nlohmann/json.hpp>

namespace quern {
namespace {
using Json = nlohmann::ordered_json;

Json object(const Characteristics& c) { return {{"A1", c.A1}, {"B", c.B}, {"P0", c.P0}, {"P1", c.P1}}; }
Json object(const ElementUncertainty& u) { return {{"A1", u.A1}, {"B", u.B}, {"power", u.power}}; }
Json object(const ShearRates& r) {
  return {{"mean", r.mean}, {"p10", r.p10}, {"median", r.median}, {"p90", r.p90}, {"p99", r.p99}};
}
Json object(const ThinningFigures& t) {
  return {{"index", t.index},
          {"throughput", t.throughput},
          {"rate_pressure", t.rate_pressure},
          {"rate_consuming", t.rate_consuming},
          {"rate_power", t.rate_power}};
}
Json object(const TrackedFigures& t) {
  return {{"throughput", t.throughput},
          {"length", t.length},
          {"time", t.time},
          {"time_gap", t.time_gap},
          {"time_error", t.time_error},
          {"time_5", t.time_5},
          {"time_95", t.time_95},
          {"mixing_length", t.mixing_length},
          {"strain", t.strain},
          {"tip_passes", t.tip_passes},
          {"over_tip", t.over_tip}};
}

Json solution(const ElementFigures& e) {
  if (!e.solution) return nullptr;
  const ElementSolution& s = *e.solution;
  const PowerShares p = *power_shares(e);
  Json thinning = Json::array();
  for (const ThinningFigures& t : s.thinning) thinning.push_back(object(t));
  return {{"endless_run", object(as_built(s.line, e.mirrored))},
          {"block", s.block ? object(as_built(*s.block, e.mirrored)) : Json(nullptr)},
          {"power_shares", {{"tips", p.tips}, {"channel", p.channel}, {"nip", p.nip}, {"faces", p.faces}}},
          {"shear_rates_per_turn", object(s.rates)},
          {"thinning", thinning},
          {"tracked", object(s.tracked)},
          {"uncertainty_numerical", object(s.numerical)},
          {"uncertainty_model", object(s.model)},
          {"balance", s.balance}};
}

Json element(const Trial& trial, const ElementFigures& e) {
  const double D = trial.machine.section.screw_diameter;
  return {{"numbers", e.numbers},
          {"description", describe(e.element)},
          {"length", e.element.length},
          {"basis", name_of(e.flow.basis)},
          {"in_range", e.flow.in_range},
          {"characteristics", object(e.flow.line)},
          {"uncertainty", object(e.flow.uncertainty)},
          {"free_area", e.flow.free_area},
          {"throughput_without_pressure", free_throughput(e, D, trial.screw_speed)},
          {"pressure_without_throughput", closed_pressure(e, D)},
          {"power_without_pressure", free_power(e, D)},
          {"rate_pressure_per_turn", e.flow.shear_rate_pressure},
          {"rate_power_per_turn", e.flow.shear_rate_power},
          {"rate_tip_per_turn", e.flow.tip_shear_rate},
          {"solution", solution(e)}};
}

Json head(const Trial& trial, const char* status) {
  return {{"format", "quern-elements/1"},
          {"status", status},
          {"program", {{"name", "quern"}, {"version", QUERN_VERSION}}},
          {"input", trial.input_id},
          {"title", trial.title}};
}

// Texts of the user may carry bytes that are not UTF-8.
std::string text(const Json& json) { return json.dump(1, ' ', false, Json::error_handler_t::replace) + '\n'; }

}  // namespace

std::string elements_json(const Trial& trial, std::span<const ElementFigures> elements) {
  Json json = head(trial, "solved");
  json["screw_diameter"] = trial.machine.section.screw_diameter;
  json["screw_speed"] = trial.screw_speed;
  json["yardstick"] = {{"viscosity", Yardstick::viscosity}, {"speed", Yardstick::speed}};
  json["elements"] = Json::array();
  for (const ElementFigures& e : elements) json["elements"].push_back(element(trial, e));
  return text(json);
}

std::string elements_stopped_json(const Trial& trial, const Stop& stop) {
  Json json = head(trial, "not_converged");
  json["reason"] = {{"name", stop.name}, {"place", stop.place}, {"text", stop.text}};
  return text(json);
}

}  // namespace quern
