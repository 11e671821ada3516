#include "io/report.hpp"

#include <boost/property_tree/xml_parser.hpp>
#include <doctest/doctest.h>
#include <sstream>

#include "io/build_sheet.hpp"
#include "io/cautions.hpp"
#include "io/line_picture.hpp"
#include "io/report_example.hpp"

using namespace quern;

namespace {

const char* const hostile = "<script>alert('x') & \"y\"</script>";

bool has(const std::string& text, std::string_view words) { return text.find(words) != std::string::npos; }

/// Reads as XML by a parser that is not ours; throws where it does not.
boost::property_tree::ptree parsed(const std::string& xml) {
  std::istringstream in(xml);
  boost::property_tree::ptree tree;
  boost::property_tree::read_xml(in, tree);
  return tree;
}

Trial hostile_trial() {
  Trial t = example_trial("combined");
  t.title = t.machine.name = t.screw.name = hostile;
  t.feeds.front().material.name = t.feeds.front().form = hostile;
  for (Zone& z : t.machine.zones) z.name = hostile;
  return t;
}

LineState hostile_state() {
  LineState s = example_state("combined");
  for (ZoneState& z : s.zones) z.name = hostile;
  s.build_warnings = {{0.5, hostile, hostile}};
  s.limits.front().text = hostile;
  return s;
}

void check_alone(const std::string& html) {
  CHECK(html.starts_with("<!DOCTYPE html>"));
  for (const char* foreign : {"http", "<script", "<link", "@import", "url(", "src="})
    CHECK_MESSAGE(!has(html, foreign), foreign);
  for (const char* broken : {">nan", " nan", "inf ", "{{", "}}"}) CHECK_MESSAGE(!has(html, broken), broken);
}

}  // namespace

TEST_CASE("report: one file that needs nothing else, and small") {
  for (const char* name : {"melt", "solid", "combined"}) {
    CAPTURE(name);
    const std::string html = report_html(example_trial(name), example_state(name));
    check_alone(html);
    CHECK(html.size() < 400'000);
  }
}

TEST_CASE("report: names the trial, the energy's boundary, and every zone, element and closure") {
  const Trial t = example_trial("combined");
  LineState s = example_state("combined");
  s.cautions = cautions(t, s);
  const std::string html = report_html(t, s);
  CHECK(has(html, "dust cloud"));
  CHECK(has(html, t.title));
  CHECK(has(html, "at the shafts"));
  CHECK(has(html, "kWh/kg"));
  for (const Zone& z : t.machine.zones) CHECK(has(html, z.name));
  for (const Element& e : t.screw.elements) CHECK(has(html, describe(e)));
  for (const Trust& trust : s.trust) CHECK(has(html, trust.closure));
  for (const Limit& limit : s.limits) CHECK(has(html, limit.name));
  CHECK(has(html, "It does not replace the machine manual"));
}

TEST_CASE("report: a margin is a share of what must not be exceeded, and of nothing else") {
  LineState s = example_state("combined");
  Limit most;
  most.name = "most", most.kind = Kind::power, most.unit = "kW";
  most.value = 6000, most.limit = 8000, most.margin = 2000;
  Limit least = most;
  least.name = "least", least.value = 9000, least.margin = 1000;
  s.limits = {most, least};
  const std::string html = report_html(example_trial("combined"), s);
  CHECK(has(html, ">2.00 kW (25 %)<"));
  CHECK(has(html, ">1.00 kW<"));
}

TEST_CASE("report: what a user typed cannot become markup") {
  const std::string html = report_html(hostile_trial(), hostile_state());
  check_alone(html);
  CHECK(has(html, "&lt;script&gt;"));
  const std::string sheet = build_sheet_html(hostile_trial());
  check_alone(sheet);
  CHECK(has(sheet, "&lt;script&gt;"));
}

TEST_CASE("pictures: are well-formed XML, hostile names and all") {
  for (const std::string& svg : {line_picture(hostile_trial(), hostile_state()), build_picture(hostile_trial()),
                                 residence_chart(hostile_state())}) {
    const auto tree = parsed(svg);
    CHECK(tree.get_child("svg").size() > 10);
  }
}

TEST_CASE("pictures: every coordinate of the line lies on the sheet") {
  const auto tree = parsed(line_picture(example_trial("combined"), example_state("combined")));
  const auto box = tree.get<std::string>("svg.<xmlattr>.viewBox");
  double zero = 0, width = 0, height = 0;
  std::istringstream(box) >> zero >> zero >> width >> height;
  CHECK(width > 0);
  for (const auto& [name, node] : tree.get_child("svg")) {
    if (name != "text") continue;
    const double x = std::stod(node.get<std::string>("<xmlattr>.x"));
    const double y = std::stod(node.get<std::string>("<xmlattr>.y"));
    CHECK((x >= 0 && x <= width));
    CHECK((y >= 0 && y <= height));
  }
}

TEST_CASE("report: a machine of one zone, a liquid, and a die given as a curve") {
  const Trial t = read_trial(std::string(QUERN_SOURCE_DIR) + "/tests/data/newtonian.toml");
  const std::string html = report_html(t, solve(t).value());
  check_alone(html);
  CHECK(has(html, "Newtonian limit"));
}

TEST_CASE("report: a screw of 500 elements still fits one file") {
  Trial t = example_trial("combined");
  Element thin = t.screw.elements[3];
  thin.length = t.machine.shaft_length / 500;
  t.screw.elements.assign(500, thin);
  const auto state = solve(t);
  if (state) {
    const std::string html = report_html(t, *state);
    check_alone(html);
    CHECK(html.size() < 600'000);
  }
  const std::string sheet = build_sheet_html(t);
  CHECK(has(sheet, "500 elements"));
  CHECK(has(sheet, ">1000<"));  // pieces for both shafts
}

TEST_CASE("assembly sheet: order, counts for both shafts, closure of length, checks and places to sign") {
  const std::string sheet = build_sheet_html(example_trial("combined"));
  check_alone(sheet);
  CHECK(has(sheet, "the length closes"));
  CHECK(has(sheet, "32 elements, 1080.0 mm"));
  for (const char* words :
       {"Hand-turn", "second person", "Photograph", "built by, date", "Lock out drive", "read back"})
    CHECK_MESSAGE(has(sheet, words), words);
  const auto kneading = sheet.find("kneading, 5 discs, 45 deg forward, 30 mm");
  REQUIRE(kneading != std::string::npos);
  CHECK(has(sheet.substr(kneading - 40, 40), ">14<"));  // seven on each shaft
}

TEST_CASE("assembly sheet: a stack that is too short says by how much") {
  Trial t = example_trial("combined");
  t.screw.elements.pop_back();
  CHECK(has(build_sheet_html(t), "30.00 mm too short"));
}
