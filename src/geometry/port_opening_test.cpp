// Common practice, no source.
#include "geometry/port_opening.hpp"

#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

constexpr double D = 0.03;

Zone zone(double length, Port port = Port::none) { return {.name = "zone", .length = length, .port = port}; }

}  // namespace

TEST_CASE("port openings: the middle half of each zone with a port, in the barrel's order") {
  const auto found =
      port_openings({zone(0.12, Port::feed), zone(0.2), zone(0.1, Port::side_feed), zone(0.16, Port::vent)}, D);
  REQUIRE(found.size() == 3);
  CHECK(found[0].zone == 0);
  CHECK(found[0].port == Port::feed);
  CHECK(found[0].place.from == Approx(0.03));
  CHECK(found[0].place.to == Approx(0.09));
  CHECK(found[1].zone == 2);
  CHECK(found[1].port == Port::side_feed);
  CHECK(found[1].place.from == Approx(0.345));
  CHECK(found[1].place.to == Approx(0.395));
  CHECK(found[2].place.from == Approx(0.46));
  CHECK(found[2].place.to == Approx(0.54));
}

TEST_CASE("port openings: a long feed zone opens in the middle half of its first 6 D, a long vent zone does not") {
  const auto found = port_openings({zone(0.4, Port::feed), zone(0.4, Port::vent), zone(0.4, Port::side_feed)}, D);
  REQUIRE(found.size() == 3);
  CHECK(found[0].place.from == Approx(0.045));
  CHECK(found[0].place.to == Approx(0.135));
  CHECK(found[1].place.from == Approx(0.5));
  CHECK(found[1].place.to == Approx(0.7));
  CHECK(found[2].place.from == Approx(0.9));
  CHECK(found[2].place.to == Approx(1.1));
}

TEST_CASE("port openings: a barrel without ports has none") {
  CHECK(port_openings({zone(0.4), zone(0.2)}, D).empty());
  CHECK(port_openings({}, D).empty());
}
