// Every rule here is common practice, no source.
#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <doctest/doctest.h>

#include "geometry/screw.hpp"

using namespace quern;

namespace {

constexpr double deg = boost::math::constants::pi<double>() / 180;

const Section bench{.barrel_bore = 30.3e-3, .screw_diameter = 30e-3, .centre_distance = 24.8e-3, .screw_gap = 0.2e-3};

Element conveying(double length, Hand hand = Hand::forward) { return {.hand = hand, .length = length, .lead = 30e-3}; }
Element kneading(double stagger, Hand hand = Hand::forward, double length = 30e-3) {
  return {.kind = ElementKind::kneading, .hand = hand, .length = length, .discs = 5, .stagger = stagger * deg};
}
Zone plain(double length) { return {.name = "plain", .length = length}; }
Zone port(Port p) { return {.name = "port", .length = 0.12, .port = p}; }

bool warned(const std::vector<Zone>& zones, const std::vector<Element>& elements, const char* what, bool die = true) {
  const auto found = build_warnings(bench, zones, {.elements = elements}, die);
  return std::any_of(found.begin(), found.end(), [&](const BuildWarning& w) {
    CHECK_FALSE(w.why.empty());
    return w.what.find(what) != std::string::npos;
  });
}

std::size_t count(const std::vector<Zone>& zones, const std::vector<Element>& elements, bool die = true) {
  return build_warnings(bench, zones, {.elements = elements}, die).size();
}

}  // namespace

TEST_CASE("a plain build raises no warning") {
  const std::vector<Zone> zones{port(Port::feed), plain(0.24), port(Port::vent), plain(0.12)};
  CHECK(count(zones, {conveying(0.15), kneading(45), kneading(90), conveying(0.03, Hand::reverse), conveying(0.36)}) ==
        0);
  CHECK(count({}, {}) == 0);
}

TEST_CASE("kneading or a reverse element under the feed is warned of, at its place") {
  const std::vector<Zone> zones{port(Port::feed), plain(0.12)};
  CHECK(warned(zones, {conveying(0.06), kneading(45), conveying(0.15)}, "under the feed port"));
  CHECK(warned(zones, {conveying(0.06), conveying(0.03, Hand::reverse), conveying(0.15)}, "under the feed port"));
  CHECK_FALSE(warned(zones, {conveying(0.09), kneading(45), conveying(0.12)}, "under the feed port"));
  const auto found = build_warnings(bench, zones, {.elements = {conveying(0.06), kneading(45), conveying(0.15)}}, true);
  REQUIRE(found.size() == 1);
  CHECK(found[0].position == doctest::Approx(0.06));
  CHECK(found[0].what == "kneading, 5 discs, 45 deg forward, 30 mm under the feed port of zone \"port\"");
}

TEST_CASE("a vent over kneading, a restriction or a ring is warned of") {
  const std::vector<Zone> zones{plain(0.12), port(Port::vent), plain(0.12)};
  const Element ring{.kind = ElementKind::blister_ring, .length = 0.03, .clearance = 1e-3};
  for (const Element& e : {kneading(45), kneading(90), conveying(0.03, Hand::reverse), ring})
    CHECK(warned(zones, {kneading(90), conveying(0.135), e, conveying(0.165)}, "under the vent"));
  CHECK_FALSE(warned(zones, {kneading(90), conveying(0.33)}, "under the vent"));
}

TEST_CASE("a long vent zone opens in its middle, a long feed zone at its front") {
  Zone vent = port(Port::vent), feed = port(Port::feed);
  vent.length = feed.length = 0.4;  // openings: 0.1 to 0.3 m of the vent zone, 0.045 to 0.135 m of the feed zone
  const std::vector<Element> late{conveying(0.24), kneading(45), conveying(0.13)};
  const std::vector<Element> early{conveying(0.06), kneading(45), conveying(0.31)};
  CHECK(warned({vent}, late, "under the vent"));
  CHECK_FALSE(warned({vent}, early, "under the vent"));
  CHECK(warned({feed}, early, "under the feed port"));
  CHECK_FALSE(warned({feed}, late, "under the feed port"));
}

TEST_CASE("a block stated forward that conveys backwards counts as a restriction") {
  const std::vector<Zone> zones{plain(0.12), port(Port::vent), plain(0.12)};
  CHECK_FALSE(warned(zones, {kneading(120), conveying(0.33)}, "no restriction"));
  CHECK(warned(zones, {kneading(60), conveying(0.33)}, "no restriction"));
}

TEST_CASE("a restriction right after a vent fills it; three diameters on it does not") {
  const std::vector<Zone> zones{plain(0.12), port(Port::vent), plain(0.24)};
  CHECK(warned(zones, {kneading(90), conveying(0.18), kneading(90), conveying(0.24)},
               "within one diameter after the vent"));
  CHECK_FALSE(warned(zones, {kneading(90), conveying(0.27), kneading(90), conveying(0.15)}, "after the vent"));
}

TEST_CASE("a vent needs a restriction between itself and the port before") {
  const std::vector<Zone> two_vents{plain(0.12), port(Port::vent), plain(0.12), port(Port::vent), plain(0.12)};
  CHECK(warned(two_vents, {conveying(0.6)}, "no restriction seals"));
  CHECK(count(two_vents, {conveying(0.6)}) == 2);
  CHECK(count(two_vents, {kneading(90), conveying(0.57)}) == 1);  // the second still draws through the first
  CHECK(count(two_vents, {kneading(90), conveying(0.27), kneading(90), conveying(0.27)}) == 0);
}

TEST_CASE("a chilled zone beside a heated one wants a melt seal near the border, either way round") {
  Zone cold = plain(0.12), hot = plain(0.12);
  cold.cooling = Cooling::chiller, hot.cooling = Cooling::water, hot.heating = 1200;
  const std::vector<Element> open{conveying(0.24)};
  const std::vector<Element> sealed{conveying(0.09), kneading(60, Hand::reverse), conveying(0.12)};
  CHECK(warned({cold, hot}, open, "no melt seal"));
  CHECK(warned({hot, cold}, open, "no melt seal", false));
  CHECK_FALSE(warned({cold, hot}, sealed, "no melt seal"));
  CHECK_FALSE(warned({cold, cold}, open, "no melt seal"));
  CHECK_FALSE(warned({hot, hot}, open, "no melt seal"));
}

TEST_CASE("the discharge must convey forward, and pump when there is a die") {
  CHECK(warned({plain(0.12)}, {conveying(0.09), conveying(0.03, Hand::reverse)}, "at the discharge", false));
  CHECK(warned({plain(0.12)}, {conveying(0.09), kneading(45)}, "at the discharge", true));
  CHECK_FALSE(warned({plain(0.12)}, {conveying(0.09), kneading(45)}, "at the discharge", false));
}

TEST_CASE("a change of starts wants a spacer ring between") {
  Element one = conveying(0.06);
  one.starts = 1;
  const Element spacer{.kind = ElementKind::spacer_ring, .length = 5e-3};
  CHECK(warned({plain(0.12)}, {one, conveying(0.06)}, "1 starts next to 2"));
  CHECK_FALSE(warned({plain(0.125)}, {one, spacer, conveying(0.06)}, "starts next to"));
}

TEST_CASE("elements outside the range of the closure are told, unless their characteristics are given") {
  Element short_lead = conveying(0.12);
  short_lead.lead = 22e-3;
  CHECK(warned({plain(0.12)}, {short_lead}, "lead below 0.75 D"));
  short_lead.lead = 0.75 * bench.screw_diameter;
  CHECK(count({plain(0.12)}, {short_lead}) == 0);
  short_lead.lead = 15e-3, short_lead.characteristics = Characteristics{.A1 = 0.1, .B = 1e-5, .P0 = 3000, .P1 = 1e4};
  CHECK(count({plain(0.12)}, {short_lead}) == 0);
  CHECK(warned({plain(0.12)}, {kneading(45, Hand::forward, 14e-3), conveying(0.106)}, "discs narrower than 0.1 D"));
  CHECK_FALSE(warned({plain(0.12)}, {kneading(45, Hand::forward, 15e-3), conveying(0.105)}, "discs narrower"));
}
