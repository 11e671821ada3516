#include "io/result_json.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <nlohmann/json.hpp>

#include "io/cautions.hpp"
#include "io/report_example.hpp"

using namespace quern;
using doctest::Approx;
using nlohmann::json;

namespace {

json solved_json() {
  static const json parsed = json::parse(result_json(example_trial("combined"), solve(example_trial("combined"))));
  return parsed;
}

}  // namespace

TEST_CASE("result JSON: every key of the published format is there") {
  const json j = solved_json();
  CHECK(j["format"] == "quern-result/1");
  CHECK(j["status"] == "solved");
  CHECK_FALSE(j.contains("reason"));
  for (const char* key : {"summary", "limits", "balances", "profile", "zones", "residence", "trust", "cautions"})
    CHECK_MESSAGE(j.contains(key), key);
  for (const char* key : {"throughput", "screw_speed", "mean_residence_time", "first_out_time", "washout_95",
                          "washout_99", "specific_energy", "shaft_power", "motor_power", "torque_per_shaft",
                          "torque_share", "outlet_temperature", "highest_temperature", "die_pressure", "mean_fill",
                          "filled_length", "heater_duty", "cooling_duty", "chiller_duty"})
    CHECK_MESSAGE(j["summary"][key].is_number(), key);
  for (const char* group : {"residence_by_section", "specific_energy_by_section"})
    for (const char* stage : {"solid", "transition", "melt"}) CHECK(j["summary"][group][stage].is_number());
  for (const char* key : {"solid_friction", "melting", "melt_shear", "pressure"})
    CHECK(j["summary"]["specific_energy_by_mechanism"][key].is_number());
  for (const char* key : {"mass", "energy"}) CHECK(j["balances"][key].is_number());
  for (const char* key : {"time", "density", "cumulative"}) CHECK(j["residence"][key].size() > 10);
}

TEST_CASE("result JSON: profile columns are of one length and start at the feed") {
  const json profile = solved_json()["profile"];
  for (const char* key :
       {"position", "temperature", "pressure", "fill", "melt_fraction", "residence_time", "specific_energy", "element"})
    CHECK_MESSAGE(profile[key].size() == profile["position"].size(), key);
  CHECK(profile["position"].front() == 0.0);
  CHECK(profile["position"].back().get<double>() == Approx(1.080));
}

TEST_CASE("result JSON: cumulative columns end at the summary's figures") {
  const json j = solved_json();
  CHECK(j["profile"]["residence_time"].back().get<double>() ==
        Approx(j["summary"]["mean_residence_time"].get<double>()).epsilon(1e-9));
  CHECK(j["profile"]["specific_energy"].back().get<double>() ==
        Approx(j["summary"]["specific_energy"].get<double>()).epsilon(1e-9));
}

TEST_CASE("result JSON: limits, zones and trust carry their fields") {
  const json j = solved_json();
  REQUIRE(j["zones"].size() == 9);
  for (const json& zone : j["zones"])
    for (const char* key : {"name", "set_temperature", "heat_from_barrel", "specific_energy"})
      CHECK(zone.contains(key));
  for (const json& limit : j["limits"]) {
    for (const char* key : {"name", "value", "limit", "margin", "place"}) CHECK(limit.contains(key));
    const std::string state = limit["state"];
    CHECK((state == "within" || state == "near" || state == "over"));
    CHECK((limit["margin"].get<double>() < 0) == (state == "over"));
  }
  for (const json& t : j["trust"])
    for (const char* key : {"closure", "value", "basis", "relative_uncertainty", "calibrated"}) CHECK(t.contains(key));
}

TEST_CASE("result JSON: a stop gives its reason and not one figure") {
  const Stop stop{Stop::Kind::impossible, "vent floods", "element 12, 900 mm", "melt stands under the vent"};
  const json j = json::parse(result_json(Trial{}, Solved<LineState>(tl::unexpect, stop)));
  CHECK(j["status"] == "impossible");
  CHECK(j["reason"]["name"] == "vent floods");
  CHECK(j["reason"]["place"] == "element 12, 900 mm");
  CHECK(j["reason"]["text"] == "melt stands under the vent");
  const json flat = j.flatten();
  for (const auto& item : flat.items()) CHECK_MESSAGE(item.value().is_string(), item.key());
}

TEST_CASE("result JSON: a feed that no screw can swallow is impossible") {
  Trial t = example_trial("combined");
  for (Feed& f : t.feeds) f.rate *= 100;
  const json j = json::parse(result_json(t, solve(t)));
  CHECK(j["status"] == "impossible");
  CHECK(j["reason"]["name"] == "feed floods");
  CHECK_FALSE(j.contains("summary"));
}

TEST_CASE("result JSON: a calculation that did not settle says so") {
  const Stop stop{Stop::Kind::not_converged, "line solver", "", ""};
  CHECK(json::parse(result_json(Trial{}, Solved<LineState>(tl::unexpect, stop)))["status"] == "not_converged");
}

TEST_CASE("result JSON: what is not a number is null, and broken text does not stop it") {
  LineState s;
  s.profile.softening = {1.5, std::numeric_limits<double>::quiet_NaN()};
  s.summary.specific_energy = std::numeric_limits<double>::infinity();
  s.cautions = {"bad \xff byte"};
  const json j = json::parse(result_json(Trial{}, s));
  CHECK(j["profile"]["softening"][0] == 1.5);
  CHECK(j["profile"]["softening"][1].is_null());
  CHECK(j["summary"]["specific_energy"].is_null());
}

TEST_CASE("result JSON: doubles read back to the last bit") {
  LineState s;
  s.summary.throughput = 0.1 + 0.2;
  s.summary.die_pressure = std::nextafter(1e7, 2e7);
  const json j = json::parse(result_json(Trial{}, s));
  CHECK(j["summary"]["throughput"].get<double>() == s.summary.throughput);
  CHECK(j["summary"]["die_pressure"].get<double>() == s.summary.die_pressure);
}

TEST_CASE("faults JSON: file, line, field, wrong and right of every fault") {
  const json j = json::parse(faults_json({{"a.toml", 14, "feed.rate", "\"6\" has no unit", "write \"6 kg/h\""}, {}}));
  CHECK(j["status"] == "refused");
  REQUIRE(j["faults"].size() == 2);
  CHECK(j["faults"][0] == json{{"file", "a.toml"},
                               {"line", 14},
                               {"field", "feed.rate"},
                               {"wrong", "\"6\" has no unit"},
                               {"right", "write \"6 kg/h\""}});
}
