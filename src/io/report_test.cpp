#include "io/report.hpp"

#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>
#include <charconv>
#include <cmath>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "io/build_sheet.hpp"
#include "io/cautions.hpp"
#include "io/line_picture.hpp"
#include "io/profile_csv.hpp"
#include "io/read_trial.hpp"
#include "io/result_json.hpp"
#include "io/result_text.hpp"
#include "machine/solve.hpp"

using namespace quern;
using doctest::Approx;

namespace {

LineState solved(const Trial& trial) {
  Solved<LineState> state = solve(trial);
  REQUIRE(state.has_value());
  state->cautions = cautions(trial, *state);
  return *state;
}
Trial hostile_names() {
  Trial t = read_trial("examples/combined.toml");
  t.title = "<script>alert(1)</script> & \"quotes\"";
  t.machine.name = "<b>bold</b>";
  t.machine.zones[2].name = "cold <2> with a name far longer than any zone is wide on the page";
  return t;
}
bool well_formed(const std::string& xml) {
  std::istringstream in(xml);
  boost::property_tree::ptree tree;
  try {
    read_xml(in, tree);
  } catch (const boost::property_tree::xml_parser_error&) {
    return false;
  }
  return true;
}

}  // namespace

TEST_CASE("report: names from the user are text, never markup, and nothing is fetched from outside") {
  const Trial t = hostile_names();
  for (const std::string& page : {report_html(t, solved(t)), build_sheet_html(t)}) {
    CHECK(page.find("<script") == std::string::npos);
    CHECK(page.find("<b>bold") == std::string::npos);
    CHECK(page.find("&lt;b&gt;bold") != std::string::npos);
    for (const char* outside : {"http:", "https:", "src=", "url(", "@import", "<link"})
      CHECK(page.find(outside) == std::string::npos);
    CHECK(page.size() < 400'000);
  }
}
TEST_CASE("report: its drawings are well-formed XML") {
  const Trial t = hostile_names();
  const LineState s = solved(t);
  CHECK(well_formed(line_picture(t, s)));
  CHECK(well_formed(build_picture(t)));
  CHECK(well_formed(residence_chart(s)));
}
TEST_CASE("report: every limit, closure and caution of the state is on the page") {
  const Trial t = read_trial("examples/combined.toml");
  const LineState s = solved(t);
  const std::string page = report_html(t, s);
  for (const Limit& l : s.limits) CHECK(page.find(l.name) != std::string::npos);
  for (const Trust& c : s.trust) CHECK(page.find(c.closure) != std::string::npos);
  CHECK(s.cautions.size() >= 5);
  CHECK(page.find("Computed, not measured") != std::string::npos);
}
TEST_CASE("report: one zone, one element and 500 elements are drawn too") {
  const Trial one = read_trial("tests/data/newtonian.toml");
  CHECK(report_html(one, solved(one)).size() > 10'000);
  Trial many = one;
  Element e = many.screw.elements.front();
  e.length = 0.9 / 500;
  many.screw.elements.assign(500, e);
  CHECK(build_sheet_html(many).size() > 10'000);
  CHECK(well_formed(build_picture(many)));
}
TEST_CASE("result: JSON has the keys of quern-result/1, and its last cumulative entries equal the summary") {
  const Trial t = read_trial("examples/combined.toml");
  const Solved<LineState> s = solve(t);
  const auto json = nlohmann::json::parse(result_json(t, s));
  CHECK(json["format"] == "quern-result/1");
  CHECK(json["status"] == "solved");
  for (const char* key : {"throughput",
                          "screw_speed",
                          "mean_residence_time",
                          "first_out_time",
                          "washout_95",
                          "washout_99",
                          "residence_by_section",
                          "specific_energy",
                          "specific_energy_by_section",
                          "specific_energy_by_mechanism",
                          "shaft_power",
                          "motor_power",
                          "torque_per_shaft",
                          "torque_share",
                          "outlet_temperature",
                          "highest_temperature",
                          "die_pressure",
                          "mean_fill",
                          "filled_length",
                          "heater_duty",
                          "cooling_duty",
                          "chiller_duty"}) {
    CAPTURE(key);
    CHECK(json["summary"].contains(key));
  }
  for (const char* key :
       {"position", "temperature", "pressure", "fill", "melt_fraction", "residence_time", "specific_energy", "element"})
    CHECK(json["profile"][key].size() == json["profile"]["position"].size());
  CHECK(json["profile"]["residence_time"].back() == json["summary"]["mean_residence_time"]);
  CHECK(json["profile"]["specific_energy"].back() == json["summary"]["specific_energy"]);
  for (const auto& l : json["limits"]) CHECK((l["state"] == "within" || l["state"] == "near" || l["state"] == "over"));
  for (const auto& c : json["trust"]) CHECK(c["calibrated"].is_boolean());
  CHECK(std::fabs(json["balances"]["energy"].get<double>()) < 1e-6);
}
TEST_CASE("result: without a steady state there is a reason and no figure") {
  Trial t = read_trial("examples/combined.toml");
  for (Feed& f : t.feeds) f.rate *= 100;
  const auto json = nlohmann::json::parse(result_json(t, solve(t)));
  CHECK(json["status"] == "impossible");
  CHECK(json["reason"]["name"] == "feed floods");
  for (const char* key : {"summary", "profile", "limits", "zones", "residence", "balances"})
    CHECK_FALSE(json.contains(key));
}
TEST_CASE("result: the profile as CSV reads back to the bit") {
  const Trial t = read_trial("examples/melt.toml");
  const LineState s = solved(t);
  std::istringstream in(profile_csv(s));
  std::string header, line;
  std::getline(in, header);
  CHECK(header.starts_with("position [m],temperature [K]"));
  for (std::size_t i = 0; i < s.profile.position.size(); ++i) {
    REQUIRE(std::getline(in, line));
    double position = 0, temperature = 0;
    const char* end = line.data() + line.size();
    const auto first = std::from_chars(line.data(), end, position);
    std::from_chars(first.ptr + 1, end, temperature);
    CHECK(position == s.profile.position[i]);
    CHECK(temperature == s.profile.temperature[i]);
  }
}
TEST_CASE("result: the text keeps to 80 columns in its tables and names the boundary of energy") {
  const Trial t = read_trial("examples/solid.toml");
  const std::string text = result_text(t, solved(t));
  CHECK(text.find("at the shafts") != std::string::npos);
  CHECK(text.find("kWh/kg") != std::string::npos);
  CHECK(text.find("0.0000000") == std::string::npos);
}
