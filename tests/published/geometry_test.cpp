// Profiles against machines that others have measured.
#include <doctest/doctest.h>

#include "geometry/section.hpp"

using doctest::Approx;
using namespace quern;

namespace {

Section ideal(double D, double centre_distance) {
  return {.barrel_bore = D, .screw_diameter = D, .centre_distance = centre_distance};
}

/// Diameter ratio at which two starts of this diameter leave the free area, by halving.
double ratio_for(double D, double free_area) {
  double low = 1.05, high = 2.4;
  while (high - low > 1e-9) {
    const double middle = (low + high) / 2;
    (profile(ideal(D, D * (1 + 1 / middle) / 2), 2).free_area < free_area ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

// Unlu & Faller (2002), J. Food Eng. 53, 115: two-screw machine of 30 mm, free barrel volume 447 cm3 per metre.
TEST_CASE("free volume of a 30 mm machine: 447 cm3 per metre needs a diameter ratio of the usual class") {
  const double ratio = ratio_for(30e-3, 447e-6);
  CHECK(ratio > 1.44);
  CHECK(ratio < 1.55);
  CHECK(ratio == Approx(1.4732).epsilon(1e-4));
  CHECK(profile(ideal(30e-3, 25.182e-3), 2).free_area == Approx(447e-6).epsilon(2e-4));
}

// Martin (2008), Pharm. Technol. 32(10), 76: 3 cm3 per diameter of length at 18 mm, 12 cm3 at 30 mm, whole numbers.
TEST_CASE("free volume per diameter: trade figures at 18 and 30 mm lie between ratios of 1.25 and 1.8") {
  for (const auto& [D, volume] : {std::pair{18e-3, 3e-6}, {30e-3, 12e-6}}) {
    const double ratio = ratio_for(D, volume / D);
    CHECK(ratio > 1.25);
    CHECK(ratio < 1.8);
  }
}
