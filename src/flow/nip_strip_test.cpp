#include "flow/nip_strip.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>

#include "flow/element_example.hpp"
#include "flow/nip.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();

Section section_of(const ElementShape& s) {
  return {.barrel_bore = s.bore, .screw_diameter = 1, .centre_distance = s.centre, .screw_gap = s.screw_gap};
}

/// Couette power of the strip between the screws, mean over a turn.
double couette(const ElementShape& shape, int samples) {
  const NipStrip strip(shape, samples);
  const double step = strip.height() / samples, U = strip.speed();
  constexpr int turns = 90;
  double sum = 0;
  for (int i = 0; i < turns; ++i)
    for (const double gap : strip.at((i + 0.5) * pi / 2 / turns).gap) sum += U * U / gap * step / turns;
  return sum;
}

}  // namespace

TEST_CASE("nip strip: the screws come as near as their clearance and no nearer, at any turn") {
  const ElementShape shape = conveying_example(1);
  const NipStrip strip(shape, 4000);
  CHECK(strip.height() == Approx(2 * std::sqrt(0.505 * 0.505 - shape.centre * shape.centre / 4)));
  CHECK(strip.speed() == Approx(2 * pi * shape.centre));
  for (double turn = -1; turn < 4; turn += 0.173) {
    CAPTURE(turn);
    const NipGap nip = strip.at(turn);
    const double least = *std::ranges::min_element(nip.gap);
    CHECK(least > 0.01 * (1 - 1e-3));
    // along the line of centres, not square to the walls: at most some parts in a thousand more than the clearance
    CHECK(least == Approx(nip_gap(section_of(shape), 2, turn)).epsilon(5e-3));
  }
}

TEST_CASE("nip strip: seen upside down and from the other side it is the same") {
  const NipStrip strip(conveying_example(1), 256);
  for (const double turn : {0.1, 0.7, 1.4}) {
    const NipGap nip = strip.at(turn), mirrored = strip.at(-turn), exchanged = strip.at(turn + pi / 2);
    for (std::size_t i = 0, j = 255; i < 256; ++i, --j) {
      CHECK(nip.gap[i] == Approx(mirrored.gap[j]).epsilon(1e-9));
      CHECK(nip.gap[i] == Approx(exchanged.gap[j]).epsilon(1e-9));
      CHECK(nip.drag[i] == Approx(-exchanged.drag[j]).epsilon(1e-9));
      CHECK(nip.passage[i] <= nip.gap[i] + 1e-12);
    }
  }
}

// Independent reference implementation of our own: 630, 465, 337, 238, 162 for these gaps.
TEST_CASE("nip strip: Couette power, mean over a turn, of five clearances") {
  const double rows[][2] = {{0.0025, 630}, {0.005, 465}, {0.01, 337}, {0.02, 238}, {0.04, 162}};
  for (const auto& [gap, power] : rows) {
    CAPTURE(gap);
    const ElementShape shape = conveying_example(1, 0.005, gap);
    const double mine = couette(shape, 1024);
    CHECK(mine == Approx(power).epsilon(0.003));
    CHECK(mine == Approx(nip_couette(section_of(shape), 2)).epsilon(0.003));
  }
}

// Volume balance of a closed nip, ω (r1² - r2²)/2 at the contact; both radii lie between root and tip.
TEST_CASE("nip strip: a sealed nip's flux changes sign when the screws change roles, and is bounded by tip and root") {
  const Profile p = conveying_example(1).profile();
  double sum = 0;
  for (int i = 0; i < 360; ++i) {
    const double turn = (i + 0.5) * pi / 360, J = sealed_nip_flux(p, turn);
    CHECK(J == Approx(-sealed_nip_flux(p, turn + pi / 2)).epsilon(1e-9));
    CHECK(J == Approx(sealed_nip_flux(p, -turn)).epsilon(1e-9));
    CHECK(std::abs(J) <= pi * (p.R * p.R - p.R_root * p.R_root) * (1 + 1e-12));
    sum += J;
  }
  CHECK(std::abs(sum) < 1e-9);
  CHECK(sealed_nip_flux(p, 0) == Approx(pi * (p.R * p.R - p.R_root * p.R_root)).epsilon(1e-12));
}

// What drag alone carries past the narrowest place is the sealed flux, but for half the gap times the speed.
TEST_CASE("nip strip: as the clearance closes, drag at the contact tends to the sealed flux") {
  for (const double turn : {0.0, 0.3, 1.1, 1.5}) {
    CAPTURE(turn);
    double before = 1;
    for (const double gap : {0.02, 0.005, 0.00125}) {
      const ElementShape shape = conveying_example(1, 0.005, gap);
      const NipStrip strip(shape, 4096);
      const NipGap nip = strip.at(turn);
      const auto contact = static_cast<std::size_t>(std::ranges::min_element(nip.gap) - nip.gap.begin());
      // both are carried upwards, seen from screws that rest: x1 and x2 are what they reach at the contact
      const double off = std::abs(nip.drag[contact] - sealed_nip_flux(shape.profile(), turn));
      CHECK(off < 0.6 * strip.speed() * gap);
      CHECK(off < before);
      before = off;
    }
  }
}
