#include "geometry/element.hpp"

#include <boost/math/constants/constants.hpp>
#include <doctest/doctest.h>
#include <limits>

using namespace quern;

namespace {

constexpr double deg = boost::math::constants::pi<double>() / 180;

Element kneading(double stagger, Hand hand = Hand::forward, int starts = 2) {
  return {.kind = ElementKind::kneading,
          .hand = hand,
          .starts = starts,
          .length = 30e-3,
          .discs = 5,
          .stagger = stagger * deg};
}
Element conveying(Hand hand = Hand::forward) { return {.hand = hand, .length = 45e-3, .lead = 30e-3}; }

std::string first_field(const Element& e) {
  const auto faults = element_faults(e);
  return faults.empty() ? "none" : faults.front().field;
}

}  // namespace

// Common practice, no source: a profile of n starts looks the same after a turn of 360/n degrees.
TEST_CASE("conveying sense: two starts at 90 degrees, three at 60 and four at 45 are neutral") {
  CHECK(conveying_sense(kneading(90)) == Hand::neutral);
  CHECK(conveying_sense(kneading(90, Hand::reverse)) == Hand::neutral);
  CHECK(conveying_sense(kneading(60, Hand::forward, 3)) == Hand::neutral);
  CHECK(conveying_sense(kneading(45, Hand::forward, 4)) == Hand::neutral);
  CHECK(conveying_sense(kneading(90, Hand::forward, 1)) == Hand::forward);
}

TEST_CASE("conveying sense: 60 degrees forward is 120 degrees reverse") {
  CHECK(conveying_sense(kneading(60)) == Hand::forward);
  CHECK(conveying_sense(kneading(120, Hand::reverse)) == Hand::forward);
  CHECK(conveying_sense(kneading(120)) == Hand::reverse);
  CHECK(conveying_sense(kneading(60, Hand::reverse)) == Hand::reverse);
}

TEST_CASE("conveying sense: flights follow their hand, rings have none") {
  CHECK(conveying_sense(conveying(Hand::reverse)) == Hand::reverse);
  CHECK(conveying_sense({.kind = ElementKind::spacer_ring, .length = 1e-3}) == Hand::neutral);
}

TEST_CASE("describe: words and numbers of the trade") {
  CHECK(describe(kneading(45)) == "kneading, 5 discs, 45 deg forward, 30 mm");
  CHECK(describe(kneading(90)) == "kneading, 5 discs, 90 deg neutral, 30 mm");
  CHECK(describe(kneading(60, Hand::reverse)) == "kneading, 5 discs, 60 deg reverse, 30 mm");
  CHECK(describe(kneading(30, Hand::forward, 3)) == "kneading, 5 discs, 30 deg forward, 3 starts, 30 mm");
  CHECK(describe(conveying(Hand::reverse)) == "conveying, 30 mm lead reverse, 45 mm");
  CHECK(describe({.kind = ElementKind::spacer_ring, .length = 1.5e-3}) == "spacer ring, 1.5 mm");
  CHECK(describe({.kind = ElementKind::blister_ring, .length = 0.01, .clearance = 1e-3}) ==
        "blister ring, 1 mm gap, 10 mm");
  Element worn = conveying();
  worn.clearance = 0.3e-3;
  CHECK(describe(worn) == "conveying, 30 mm lead forward, worn 0.3 mm, 45 mm");
}

TEST_CASE("equal elements are the same part, wherever the file names them") {
  Element a = conveying(), b = a;
  b.line = 12;
  CHECK(a == b);
  b.lead = 31e-3;
  CHECK_FALSE(a == b);
  b = a, b.characteristics = Characteristics{.A1 = 0.3, .B = 1e-4, .P0 = 1000, .P1 = 3000};
  CHECK_FALSE(a == b);
  a.characteristics = b.characteristics;
  CHECK(a == b);
  a.characteristics->P0 = 1001;
  CHECK_FALSE(a == b);
}

TEST_CASE("disc width is the length shared out, and zero without discs") {
  CHECK(kneading(45).disc_width() == doctest::Approx(6e-3));
  CHECK(conveying().disc_width() == 0);
}

TEST_CASE("element faults: numbers that no element can have, by field") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](auto Element::* member, auto value, Element e) {
    e.*member = value;
    return first_field(e);
  };
  CHECK(first_field(conveying()) == "none");
  CHECK(refused(&Element::length, 0.0, conveying()) == "length");
  CHECK(refused(&Element::lead, nan, conveying()) == "lead");
  CHECK(refused(&Element::hand, Hand::neutral, conveying()) == "hand");
  CHECK(refused(&Element::clearance, -1e-3, conveying()) == "clearance");
  CHECK(refused(&Element::starts, 0, conveying()) == "starts");
  CHECK(refused(&Element::discs, 0, kneading(45)) == "discs");
  CHECK(first_field({.kind = ElementKind::blister_ring, .length = 0.01}) == "clearance");
}

TEST_CASE("element faults: a stagger stays within the period of its profile") {
  CHECK(first_field(kneading(120)) == "none");
  CHECK(first_field(kneading(0)) == "stagger");
  CHECK(first_field(kneading(180)) == "stagger");
  CHECK(first_field(kneading(180, Hand::forward, 1)) == "none");
  CHECK(first_field(kneading(130, Hand::forward, 3)) == "stagger");
  CHECK(first_field(kneading(std::numeric_limits<double>::quiet_NaN())) == "stagger");
  CHECK(first_field(kneading(45, Hand::neutral)) == "hand");
  CHECK(first_field(kneading(90, Hand::neutral)) == "none");
}
