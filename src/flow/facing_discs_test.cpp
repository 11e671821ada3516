#include "flow/facing_discs.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

#include "base/error.hpp"

using doctest::Approx;
using namespace quern;

namespace {
constexpr double pi = boost::math::constants::pi<double>();

Section bilobal(double D = 1) {
  return {.barrel_bore = 1.01 * D,
          .screw_diameter = D,
          .centre_distance = ((1 + 1 / 1.55) / 2 + 0.01) * D,
          .screw_gap = 0.01 * D};
}
}  // namespace

TEST_CASE("facing discs: mean overlap of two starts, ratio 1.55, from an independent code") {
  const double table[][2] = {{30, 0.0057}, {45, 0.0093}, {60, 0.0118}, {90, 0.0137}};  // of D², to 4 decimals
  for (const auto& [degrees, area] : table) {
    CAPTURE(degrees);
    CHECK(std::abs(mean_facing_discs(bilobal(), 2, degrees * pi / 180) - area) < 0.00006);
  }
}

TEST_CASE("facing discs: two tips across from each other meet in the lens of their circles") {
  // Staggered by a quarter turn, discs j of one and j+1 of the other both point a tip at the line of centres. The tip is
  // a tip circle within its angle only, which for these wide tips covers the lens.
  const Section s{.barrel_bore = 1.01, .screw_diameter = 1, .centre_distance = 0.97, .screw_gap = 0.01};
  const double C = s.centre_distance, lens = std::acos(C) / 2 - C / 2 * std::sqrt(1 - C * C);
  CHECK(facing_discs(s, 2, 0, pi / 2) == Approx(lens).epsilon(0.001));
}

TEST_CASE("facing discs: screws that mesh in one plane never overlap") {
  for (const double turn : {0.0, 0.3, 0.7, 1.2}) CHECK(facing_discs(bilobal(), 2, turn, 0) == 0);
}

TEST_CASE("facing discs: the mean is the same for both hands and for angles that complete a period") {
  for (const double stagger : {0.3, 0.8}) {
    CAPTURE(stagger);
    const double area = mean_facing_discs(bilobal(), 2, stagger);
    CHECK(mean_facing_discs(bilobal(), 2, -stagger) == Approx(area).epsilon(0.002));
    CHECK(mean_facing_discs(bilobal(), 2, pi - stagger) == Approx(area).epsilon(0.002));
  }
}

TEST_CASE("facing discs: area goes with the square of the size and repeats after a period") {
  CHECK(facing_discs(bilobal(0.04), 2, 0.4, 0.8) == Approx(0.0016 * facing_discs(bilobal(), 2, 0.4, 0.8)));
  CHECK(facing_discs(bilobal(), 2, 0.4 + pi, 0.8) == Approx(facing_discs(bilobal(), 2, 0.4, 0.8)));
}

TEST_CASE("facing discs: screws too far apart for their tips to pass share nothing, bad profiles are refused") {
  const Section wide{.barrel_bore = 1.02, .screw_diameter = 1, .centre_distance = 1.005, .screw_gap = 0.01};
  CHECK(facing_discs(wide, 2, 0.4, 0.8) == 0);
  CHECK_THROWS_AS(facing_discs(bilobal(), 3, 0, 0.5), InputError);
}
