#include "io/svg_screw_faces.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numbers>

using namespace quern;
using doctest::Approx;

namespace {
constexpr double pi = std::numbers::pi;
const Section section{0.0303, 0.0300, 0.0248, 2, 0.0002};

/// Height of one screw's surface over a crosswise place, by search round its profile; below everything if there is none.
double height_over(const Profile& p, double axis, double phase, double y) {
  double best = -1;
  constexpr int n = 7200;
  for (int i = 0; i < n; ++i) {
    const double a = 2 * pi * i / n, b = a + 2 * pi / n;
    const double ya = axis + radius(p, a - phase) * std::sin(a), yb = axis + radius(p, b - phase) * std::sin(b);
    if ((ya - y) * (yb - y) > 0) continue;
    best = std::max(best, radius(p, a - phase) * std::cos(a));
  }
  return best;
}

double total(const std::vector<Strip>& strips) {
  double sum = 0;
  for (const Strip& s : strips) sum += s.high - s.low;
  return sum;
}

}  // namespace

TEST_CASE("screw seen from above: which screw hides which agrees with a search through both surfaces") {
  for (const int starts : {1, 2}) {
    const Profile p = profile(section, starts);
    const double C = section.centre_distance;
    for (int k = 0; k < 60; ++k) {
      const double phase = 2 * pi * k / 60 + 0.01;
      const Seen seen = seen_from_above(p, C, phase, 0);
      for (double y = -0.0045; y < 0.0046; y += 0.0005) {
        const double first = height_over(p, -C / 2, phase, y),
                     second = height_over(p, C / 2, phase + pi + pi / starts, y);
        const auto shows = [&](std::size_t screw) {
          return std::ranges::any_of(seen.faces[screw], [&](const Strip& s) { return s.low < y && y < s.high; });
        };
        const auto near_edge = [&] {  // the search and the strips may differ right at an edge
          for (const double edge : {seen.low[0], seen.high[0], seen.low[1], seen.high[1]})
            if (std::fabs(edge - y) < 5e-5) return true;
          return std::fabs(first - second) < 1e-4;
        };
        if (near_edge()) continue;
        CAPTURE(starts);
        CAPTURE(phase);
        CAPTURE(y);
        CHECK(shows(0) == (first > second));
        CHECK(shows(1) == (second > first));
      }
    }
  }
}

TEST_CASE("screw seen from above: faces cover what is visible, once") {
  for (int k = 0; k < 100; ++k) {
    const Seen seen = seen_from_above(profile(section, 2), section.centre_distance, 0.0628 * k, 0);
    for (std::size_t screw = 0; screw < 2; ++screw) {
      CHECK(total(seen.faces[screw]) == Approx(seen.high[screw] - seen.low[screw]).epsilon(2e-3));
      CHECK(seen.low[screw] >= (screw == 0 ? -1 : seen.high[0] - 1e-12));
    }
  }
}

TEST_CASE("screw seen from above: a tip across the page reaches its radius, its partner's root is in front of it") {
  const Profile p = profile(section, 2);
  const Seen seen = seen_from_above(p, section.centre_distance, pi / 2, 0);
  CHECK(seen.low[0] == Approx(-section.centre_distance / 2 - p.R));
  CHECK(seen.high[0] == Approx(-section.centre_distance / 2 + p.R));
  // The gap between tip and root is the clearance between the screws.
  CHECK(section.centre_distance / 2 - p.R_root - seen.high[0] == Approx(section.screw_gap).epsilon(1e-9));
}

TEST_CASE("screw seen from above: stock is as wide as the fill, and reaches the bore where full") {
  const Profile p = profile(section, 2);
  const double C = section.centre_distance;
  CHECK(seen_from_above(p, C, 0.3, 0).stock[0].empty());
  const Seen half = seen_from_above(p, C, 0.0, 0.5), full = seen_from_above(p, C, 0.0, 1);
  const auto lowest = [](const Seen& s) {
    double y = 1;
    for (const Strip& strip : s.stock[0]) y = std::min(y, strip.low);
    return y;
  };
  CHECK(lowest(full) == Approx(-C / 2 - p.Rb));
  // Tip up: half of each channel, from α/2 to α/2 + (π - α)/2 = π/2 after the tip, and the same after the other tip.
  REQUIRE(half.stock[0].size() == 1);
  CHECK(half.stock[0][0].low == Approx(-C / 2 + p.Rb * std::sin(p.alpha / 2)));
  CHECK(half.stock[0][0].high == Approx(C / 2 - p.R));  // the other screw's tip lies across it
}

TEST_CASE("turns: a lead is one turn, and forward flights move downstream as the screws turn") {
  Element e;
  e.length = e.lead = 0.030;
  Element back = e;
  back.hand = Hand::reverse;
  const std::vector<Turn> list = turns(section, Screw{"", {e, back}});
  REQUIRE(list.size() == 2);
  CHECK(list[0].phase_to - list[0].phase_from == Approx(-2 * pi));  // later downstream is earlier in the turn
  CHECK(list[1].phase_from == list[0].phase_to);
  CHECK(list[1].phase_to - list[1].phase_from == Approx(2 * pi));
}

TEST_CASE("turns: discs stand still along their width, a stagger apart") {
  Element e;
  e.kind = ElementKind::kneading;
  e.discs = 5;
  e.stagger = pi / 4;
  e.length = 0.030;
  const std::vector<Turn> list = turns(section, Screw{"", {e}});
  REQUIRE(list.size() == 5);
  for (std::size_t d = 0; d < 5; ++d) {
    CHECK(list[d].phase_from == list[d].phase_to);
    CHECK(list[d].to - list[d].from == Approx(0.006));
    if (d > 0) CHECK(std::fabs(list[d].phase_from - list[d - 1].phase_from) == Approx(pi / 4));
  }
}

TEST_CASE("rings: seen round, with stock on both sides") {
  const Profile p = profile(section, 2);
  const Seen seen = seen_ring(p, section.centre_distance, p.R_root, 1);
  CHECK(seen.high[0] - seen.low[0] == Approx(2 * p.R_root));
  CHECK(seen.low[1] == Approx(-seen.high[0]));
  REQUIRE(seen.stock[0].size() == 2);
  CHECK(seen.stock[0][0].low == Approx(-section.centre_distance / 2 - p.Rb));
}
