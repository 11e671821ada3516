#include "flow/nip.hpp"

#include <doctest/doctest.h>
#include <initializer_list>

#include "base/error.hpp"

using doctest::Approx;
using namespace quern;

namespace {
Section with_gap(double gap) {
  return {.barrel_bore = 1.01, .screw_diameter = 1, .centre_distance = (1 + 1 / 1.55) / 2 + gap, .screw_gap = gap};
}
}  // namespace

TEST_CASE("nip: Couette power of two starts, ratio 1.55, from an independent code") {
  const double table[][2] = {{0.0025, 630}, {0.005, 465}, {0.01, 337}, {0.02, 238}, {0.04, 162}};
  for (const auto& [gap, power] : table) {
    CAPTURE(gap);
    CHECK(nip_couette(with_gap(gap), 2) == Approx(power).epsilon(0.005));
  }
}

TEST_CASE("nip: power falls about as the root of the gap") {
  const double ratio = nip_couette(with_gap(0.0025), 2) / nip_couette(with_gap(0.01), 2);
  CHECK(ratio > 1.7);
  CHECK(ratio < 2.1);
}

TEST_CASE("nip: the screws keep their gap along the line of centres or leave more") {
  for (const int n : {1, 2, 3})
    for (const double turn : {0.0, 0.2, 0.5, 0.9, 1.4}) {
      CAPTURE(n);
      CAPTURE(turn);
      const Section s{.barrel_bore = 1.01, .screw_diameter = 1, .centre_distance = 0.91, .screw_gap = 0.01};
      CHECK(nip_gap(s, n, turn) > 0.01 - 1e-6);
      CHECK(nip_gap(s, n, turn) < 0.0135);  // measured along the centre line a flank's gap reads longer
    }
}

TEST_CASE("nip: power does not depend on the size of the machine") {
  Section s = with_gap(0.01);
  const double one = nip_couette(s, 2);
  s.barrel_bore *= 0.03, s.screw_diameter *= 0.03, s.centre_distance *= 0.03, s.screw_gap *= 0.03;
  CHECK(nip_couette(s, 2) == Approx(one).epsilon(1e-9));
}

TEST_CASE("nip: touching screws give a finite number, a profile that cannot be is refused") {
  CHECK(nip_couette(with_gap(0), 2) < 1e5);
  CHECK_THROWS_AS(nip_couette(with_gap(0.01), 3), InputError);
}
