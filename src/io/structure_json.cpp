#include "io/structure_json.hpp"

namespace quern {
namespace {
using Json = nlohmann::ordered_json;

Json optional(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }

Json spread(const Statistics& s) {
  return {{"mean", s.mean}, {"standard_deviation", s.standard_deviation},  {"p5", s.p5}, {"p50", s.p50},
          {"p95", s.p95},   {"standard_error", optional(s.standard_error)}};
}

Json treatment(const Structure& s) {
  const EnsembleTreatment& t = s.treatment;
  return {{"time", spread(t.time)},
          {"energy", spread(t.energy)},
          {"correlation", optional(t.correlation)},
          {"undertreated", t.undertreated},
          {"undertreated_error", t.undertreated_error},
          {"line_time", s.mean_time},
          {"line_energy", s.mean_energy},
          {"cloud",
           {{"time_edges", s.cloud.time_edges}, {"energy_edges", s.cloud.energy_edges}, {"share", s.cloud.share}}}};
}

Json coefficients(const std::vector<UsedCoefficient>& used) {
  Json list = Json::array();
  for (const UsedCoefficient& u : used) {
    const Coefficient& c = *u.coefficient;
    list.push_back({{"name", c.name},
                    {"value", u.value},
                    {"unit", c.kind == Kind::ratio ? c.unit : info(c.kind).si},
                    {"basis", u.fixed ? "fixed in the project" : c.basis},
                    {"relative_uncertainty", u.fixed ? 0 : c.uncertainty},
                    {"calibrated", u.fixed || c.calibrated}});
  }
  return list;
}

Json figure(const StructureFigure& f) {
  return {{"unit", f.si},
          {"inlet", optional(f.inlet)},
          {"along", f.along},
          {"end", f.end ? spread(*f.end) : Json(nullptr)},
          {"blended", optional(f.blended)}};
}

Json model(const StructureModel& m) {
  Json json = {{"of", m.of},
               {"calibrated", m.calibrated()},
               {"basis", m.basis()},
               {"parcels", m.parcels},
               {"balance", m.balance}};
  Json list = Json::object();
  for (const StructureFigure& f : m.figures) list[std::string(f.name)] = figure(f);
  json["figures"] = std::move(list);
  json["coefficients"] = coefficients(m.coefficients);
  json["notes"] = m.notes;
  return json;
}

}  // namespace

Json structure_json(const Structure& s) {
  Json json = {{"parcels", s.parcels}, {"seed", s.seed}, {"position", s.position}, {"treatment", treatment(s)}};
  for (const StructureModel& m : s.models) json[std::string(m.name)] = model(m);
  Json list = Json::array();
  for (const LeftOut& l : s.left_out) list.push_back({{"model", l.model}, {"why", l.why}});
  json["left_out"] = std::move(list);
  return json;
}

}  // namespace quern
