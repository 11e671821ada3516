#include "geometry/screw.hpp"

#include <boost/math/constants/constants.hpp>
#include <doctest/doctest.h>
#include <limits>

using doctest::Approx;
using namespace quern;

namespace {

constexpr double deg = boost::math::constants::pi<double>() / 180;

const Section bench{.barrel_bore = 30.3e-3, .screw_diameter = 30e-3, .centre_distance = 24.8e-3, .screw_gap = 0.2e-3};

Element conveying(double length, int line = 0) { return {.length = length, .lead = 45e-3, .line = line}; }
Zone zone(double length) { return {.name = "zone", .length = length}; }

std::vector<Fault> faults(double shaft, const std::vector<Zone>& zones, const std::vector<Element>& elements,
                          const Section& section = bench) {
  return build_faults(section, shaft, zones, {.elements = elements});
}

}  // namespace

TEST_CASE("placement: elements follow one another from the feed end") {
  const auto places = placement({.elements = {conveying(45e-3), conveying(30e-3), conveying(15e-3)}});
  REQUIRE(places.size() == 3);
  CHECK(places[0].from == 0);
  CHECK(places[1].from == Approx(45e-3));
  CHECK(places[2].to == Approx(90e-3));
  CHECK(placement({}).empty());
}

TEST_CASE("a build that closes within 0.1 mm has no faults") {
  CHECK(faults(0.180, {zone(0.180)}, {conveying(0.090), conveying(0.090)}).empty());
  CHECK(faults(0.180, {zone(0.180)}, {conveying(0.090), conveying(0.08991)}).empty());
  CHECK(faults(0.180, {zone(0.180)}, {conveying(0.090), conveying(0.0901)}).empty());
  CHECK(faults(0.180, {zone(0.180)}, {conveying(0.090), conveying(0.08985)}).size() == 1);
  CHECK(faults(0.180, {zone(0.180)}, {conveying(0.090), conveying(0.09015)}).size() == 1);
}

TEST_CASE("elements that do not close are told by how much and which side") {
  const auto missing = faults(1.080, {zone(1.080)}, {conveying(1.065)});
  REQUIRE(missing.size() == 1);
  CHECK(missing[0].field == "screw");
  CHECK(missing[0].wrong == "the elements add up to 1065 mm, 15 mm short of the shaft: a gap at the tip end");
  CHECK(missing[0].right == "lengths that add up to shaft_length, 1080 mm, within 0.1 mm");
  const auto excess = faults(1.080, {zone(1.080)}, {conveying(1.0805)});
  REQUIRE(excess.size() == 1);
  CHECK(excess[0].wrong ==
        "the elements add up to 1080.5 mm, 0.5 mm longer than the shaft: the last elements stand out at the tip end");
}

TEST_CASE("zones that do not add up to the shaft are refused") {
  const auto found = faults(0.180, {zone(0.120), zone(0.030)}, {conveying(0.180)});
  REQUIRE(found.size() == 1);
  CHECK(found[0].field == "machine.zone");
  CHECK(found[0].wrong == "the zones add up to 150 mm, 30 mm short of the shaft: the tip stands bare");
}

TEST_CASE("a section that cannot be is told under the machine, before anything else") {
  Section wide = bench;
  wide.screw_diameter = 31e-3;
  const auto found = faults(0.18, {zone(0.18)}, {conveying(0.1)}, wide);
  REQUIRE(found.size() == 1);
  CHECK(found[0].field == "machine.screw_diameter");
}

TEST_CASE("an element of too many starts is told with its line and the ratio that could be") {
  Element three = conveying(0.18, 31);
  three.starts = 3;
  const auto found = faults(0.18, {zone(0.18)}, {three});
  REQUIRE(found.size() == 1);
  CHECK(found[0].field == "screw.element[0].starts");
  CHECK(found[0].line == 31);
  CHECK(found[0].wrong.find("at most 1.366") != std::string::npos);
}

TEST_CASE("repeats of one entry are told once, and indices count entries") {
  Element bad = conveying(0.03, 20);
  bad.lead = 0;
  const auto found = faults(0.18, {zone(0.18)}, {conveying(0.045, 12), conveying(0.045, 12), bad, bad, bad});
  REQUIRE(found.size() == 1);
  CHECK(found[0].field == "screw.element[1].lead");
  CHECK(found[0].line == 20);
}

TEST_CASE("without clearance elements must bring their characteristics: told once, for the machine") {
  const Section tight{.barrel_bore = 30e-3, .screw_diameter = 30e-3, .centre_distance = 24.6774e-3};
  const auto found = faults(0.18, {zone(0.18)}, {conveying(0.09, 7), conveying(0.09, 9)}, tight);
  REQUIRE(found.size() == 2);
  CHECK(found[0].field == "machine.barrel_bore");
  CHECK(found[1].field == "machine.screw_gap");
  Element given = conveying(0.18);
  given.characteristics = Characteristics{.A1 = 0.33, .B = 2e-4, .P0 = 2244.5, .P1 = 1650};
  CHECK(faults(0.18, {zone(0.18)}, {given}, tight).empty());
}

TEST_CASE("wear and gaps that leave no metal are refused") {
  Element worn = conveying(0.18);
  worn.clearance = 6e-3;  // the channel is 5.4 mm deep
  REQUIRE(faults(0.18, {zone(0.18)}, {worn}).size() == 1);
  CHECK(faults(0.18, {zone(0.18)}, {worn})[0].field == "screw.element[0].clearance");
  const Element ring{.kind = ElementKind::spacer_ring, .length = 0.18, .clearance = 16e-3};
  CHECK(faults(0.18, {zone(0.18)}, {ring}).size() == 1);
}

TEST_CASE("empty screws, empty barrels and lengths that are no numbers are refused, not added up") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(faults(0.18, {zone(0.18)}, {}).front().field == "screw.element");
  CHECK(faults(0.18, {}, {conveying(0.18)}).front().field == "machine.zone");
  CHECK(faults(nan, {zone(0.18)}, {conveying(0.18)}).front().field == "machine.shaft_length");
  CHECK(faults(0.18, {zone(nan)}, {conveying(0.18)}).front().field == "machine.zone[0].length");
  CHECK(faults(0.18, {zone(0.18)}, {conveying(nan)}).front().field == "screw.element[0].length");
}
