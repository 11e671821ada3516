#include "geometry/section.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>

using doctest::Approx;
using doctest::Contains;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double inf = std::numeric_limits<double>::infinity();

/// Zero clearance, screw diameter 1.
Section ideal(double diameter_ratio) {
  return {.barrel_bore = 1, .screw_diameter = 1, .centre_distance = (1 + 1 / diameter_ratio) / 2};
}

/// Bore 25.5, screw 25.2, centre distance 21.0, screw gap 0.2 mm.
Section worked() {
  return {
      .barrel_bore = 25.5e-3, .screw_diameter = 25.2e-3, .centre_distance = 21e-3, .starts = 2, .screw_gap = 0.2e-3};
}

/// Midpoint rule over one period, corners at tip edges included.
template <class F>
double over_turn(const F& f, int n = 200000) {
  double sum = 0;
  for (int i = 0; i < n; ++i) sum += f(2 * pi * (i + 0.5) / n);
  return sum * 2 * pi / n;
}

struct XY {
  double x, y;
};

/// Least distance between the outlines of the two screws at one rotation.
double least_distance(const Profile& p, double C, double turn) {
  constexpr int n = 2400;
  const double second = turn + pi - pi / p.starts;
  std::vector<XY> left, right;
  for (int i = 0; i < n; ++i) {
    const double a = pi * (static_cast<double>(i) / n - 0.5), r1 = radius(p, a - turn);
    left.push_back({r1 * std::cos(a), r1 * std::sin(a)});
    const double b = a + pi, r2 = radius(p, b - second);
    right.push_back({C + r2 * std::cos(b), r2 * std::sin(b)});
  }
  double least = inf;
  for (const XY& a : left)
    for (const XY& b : right) least = std::min(least, std::hypot(a.x - b.x, a.y - b.y));
  return least;
}

}  // namespace

TEST_CASE("profile: closed forms of the ideal profile, one to three starts") {
  // Reference values computed by integrating the profile numerically, six digits; lengths in D, areas in D².
  struct Row {
    int n;
    double ratio, C, depth, psi, alpha, screw, bore, free, perimeter;
  };
  const Row rows[] = {
      {1, 1.25, 0.900000, 0.100000, 25.8419, 128.3161, 0.628287, 1.541433, 0.284860, 5.38113},
      {1, 1.45, 0.844828, 0.155172, 32.3465, 115.3069, 0.548142, 1.514527, 0.418243, 5.15408},
      {1, 1.55, 0.822581, 0.177419, 34.6560, 110.6879, 0.517391, 1.502245, 0.467464, 5.07346},
      {1, 1.80, 0.777778, 0.222222, 38.9424, 102.1151, 0.458269, 1.475391, 0.558854, 4.92384},
      {2, 1.25, 0.900000, 0.100000, 25.8419, 38.3161, 0.612547, 1.541433, 0.316339, 5.38113},
      {2, 1.45, 0.844828, 0.155172, 32.3465, 25.3069, 0.516808, 1.514527, 0.480911, 5.15408},
      {2, 1.55, 0.822581, 0.177419, 34.6560, 20.6879, 0.478628, 1.502245, 0.544990, 5.07346},
      {2, 1.80, 0.777778, 0.222222, 38.9424, 12.1151, 0.402635, 1.475391, 0.670121, 4.92384},
      {3, 1.25, 0.900000, 0.100000, 25.8419, 8.3161, 0.596807, 1.541433, 0.347819, 5.38113},
  };
  for (const Row& row : rows) {
    CAPTURE(row.n);
    CAPTURE(row.ratio);
    const Section s = ideal(row.ratio);
    const Profile p = profile(s, row.n);
    CHECK(s.centre_distance == Approx(row.C).epsilon(1e-6));
    CHECK(p.depth_max == Approx(row.depth).epsilon(1e-5));
    CHECK(p.psi * 180 / pi == Approx(row.psi).epsilon(2e-6));
    CHECK(p.alpha * 180 / pi == Approx(row.alpha).epsilon(1e-5));
    CHECK(std::abs(p.screw_area - row.screw) < 1e-6);
    CHECK(std::abs(p.bore_area - row.bore) < 1e-6);
    CHECK(std::abs(p.free_area - row.free) < 1e-6);
    CHECK(std::abs(p.bore_perimeter - row.perimeter) < 1e-5);
  }
}

TEST_CASE("profile: with clearances, every area and length of the worked section") {
  const Profile p = profile(worked(), 2);
  CHECK(p.psi * 180 / pi == Approx(34.371256).epsilon(1e-8));
  CHECK(p.alpha * 180 / pi == Approx(21.257488).epsilon(1e-7));
  CHECK(p.R_root == Approx(8.200e-3).epsilon(1e-12));
  CHECK(p.depth_max == Approx(4.550e-3).epsilon(1e-12));
  CHECK(p.screw_area == Approx(307.007068e-6).epsilon(1e-8));
  CHECK(p.bore_area == Approx(977.185205e-6).epsilon(1e-8));
  CHECK(p.free_area == Approx(363.171069e-6).epsilon(1e-8));
  CHECK(p.bore_perimeter == Approx(129.458464e-3).epsilon(1e-8));
  CHECK(p.screw_perimeter == Approx(65.345127e-3).epsilon(1e-8));
  CHECK(p.barrel_gap() == Approx(0.15e-3).epsilon(1e-9));
}

TEST_CASE("profile: the area enclosed by radius() is the closed form's") {
  for (const int n : {1, 2, 3}) {
    CAPTURE(n);
    const Section s{.barrel_bore = 30.3e-3, .screw_diameter = 30e-3, .centre_distance = 27.2e-3, .screw_gap = 0.2e-3};
    const Profile p = profile(s, n);
    const double area = over_turn([&](double a) { return radius(p, a) * radius(p, a) / 2; });
    CHECK(p.screw_area == Approx(area).epsilon(1e-8));
  }
}

TEST_CASE("profile: the outline walked with radius() is π Ce long") {
  for (const int n : {1, 2, 3}) {
    CAPTURE(n);
    const Profile p = profile(ideal(1.25), n);
    constexpr int steps = 400000;
    double walked = 0;
    for (int i = 0; i < steps; ++i) {
      const double a = 2 * pi * i / steps, b = 2 * pi * (i + 1) / steps, r = radius(p, a), q = radius(p, b);
      walked += std::hypot(r - q, 2 * std::sqrt(r * q) * std::sin((b - a) / 2));  // chord
    }
    CHECK(walked == Approx(pi * p.Ce).epsilon(1e-5));  // chords cut the corners of the tips
    CHECK(p.screw_perimeter == Approx(pi * p.Ce).epsilon(1e-14));
  }
}

TEST_CASE("radius: even, repeats with the starts, tip and root where they belong") {
  for (const int n : {1, 2, 3}) {
    CAPTURE(n);
    const Profile p = profile(ideal(1.25), n);
    CHECK(radius(p, 0) == p.R);
    CHECK(radius(p, pi / n) == Approx(p.R_root).epsilon(1e-14));
    for (const double a : {0.1, 0.4, 0.9, 2.0}) {
      CHECK(radius(p, a) == Approx(radius(p, -a)).epsilon(1e-12));
      CHECK(radius(p, a) == Approx(radius(p, a + 2 * pi / n)).epsilon(1e-12));
      CHECK(radius(p, a) <= p.R);
      CHECK(radius(p, a) >= p.R_root);
    }
  }
}

TEST_CASE("radius: depths along a flank of two starts, diameter ratio 1.55, 25 mm") {
  const Section s{.barrel_bore = 25, .screw_diameter = 25, .centre_distance = 20.5645161290322580645};
  const Profile p = profile(s, 2);
  const double depths[][2] = {{0, 4.435484},  {10, 4.360456}, {20, 4.130951}, {30, 3.733564},
                              {40, 3.145669}, {50, 2.335723}, {60, 1.265383}, {69.31208, 0}};
  for (const auto& [theta, depth] : depths) {
    CAPTURE(theta);
    const double from_tip = pi / 2 - p.alpha / 2 - theta * pi / 180;
    CHECK(std::abs(p.Rb - radius(p, from_tip) - depth) < 2e-6);
  }
}

TEST_CASE("radius_slope: the derivative of radius(), and R tan(psi) where a flank meets its tip") {
  for (const int starts : {1, 2}) {
    const Profile p = profile(worked(), starts);
    for (double a = -3; a < 3; a += 0.0371)
      CHECK(radius_slope(p, a) == Approx((radius(p, a + 1e-7) - radius(p, a - 1e-7)) / 2e-7).epsilon(1e-5).scale(p.R));
    CHECK(radius_slope(p, p.alpha / 2 + 1e-9) == Approx(-p.R * std::tan(p.psi)).epsilon(1e-6));
  }
}

TEST_CASE("two screws turning together keep exactly the screw gap") {
  for (const int n : {1, 2, 3}) {
    const Section s{.barrel_bore = 30.3, .screw_diameter = 30, .centre_distance = 27.2, .screw_gap = 0.2};
    const Profile p = profile(s, n);
    for (int k = 0; k < 12; ++k) {
      const double turn = 2 * pi / n * (k + 0.3) / 12;
      CAPTURE(n);
      CAPTURE(turn);
      const double gap = least_distance(p, s.centre_distance, turn);
      CHECK(gap > 0.2 - 1e-9);
      CHECK(gap < 0.2 + 5e-3);  // points, not outlines: half a step of 0.02 mm aside
    }
  }
}

TEST_CASE("helical_surface: worked section at three leads, and its perimeter at an infinite one") {
  const Profile p = profile(worked(), 2);
  CHECK(helical_surface(p, 20e-3) == Approx(95.02092e-3).epsilon(2e-7));
  CHECK(helical_surface(p, 30e-3) == Approx(80.81395e-3).epsilon(2e-7));
  CHECK(helical_surface(p, 40e-3) == Approx(74.76812e-3).epsilon(2e-7));
  CHECK(helical_surface(p, inf) == Approx(p.screw_perimeter).epsilon(1e-12));
}

TEST_CASE("profile: what cannot exist is refused, with the ratio that could") {
  CHECK_THROWS_WITH_AS(profile(ideal(1.45), 3), Contains("three starts need a diameter ratio of at most 1.366"),
                       InputError);
  CHECK_THROWS_WITH_AS(profile(ideal(1.55), 3), Contains("this one has 1.55"), InputError);
  CHECK_THROWS_AS(profile(ideal(1.8), 3), InputError);
  CHECK_THROWS_WITH_AS(profile(ideal(2.42), 2), Contains("at most 2.414"), InputError);
  CHECK_NOTHROW(profile(ideal(2.41), 2));
  CHECK_NOTHROW(profile(ideal(1.366), 3));
  CHECK_NOTHROW(profile(ideal(2.42), 1));
  CHECK_THROWS_WITH_AS(profile(ideal(1.18), 4), Contains("1.18"), InputError);
}

TEST_CASE("profile: at the limiting ratio the tip is a knife edge") {
  const double limit = 1 / (2 * std::cos(pi / 6) - 1);
  CHECK(profile(ideal(limit), 3).alpha == Approx(0).epsilon(1e-9));
}

TEST_CASE("profile: numbers that make no section are refused by field") {
  const auto refused = [](double Section::* member, double value) {
    Section s = worked();
    s.*member = value;
    try {
      profile(s, 2);
    } catch (const InputError& e) {
      return e.faults().front().field;
    }
    return std::string("accepted");
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(refused(&Section::screw_gap, 0) == "accepted");
  CHECK(refused(&Section::barrel_bore, 0) == "barrel_bore");
  CHECK(refused(&Section::barrel_bore, nan) == "barrel_bore");
  CHECK(refused(&Section::screw_diameter, -1) == "screw_diameter");
  CHECK(refused(&Section::screw_diameter, 26e-3) == "screw_diameter");
  CHECK(refused(&Section::centre_distance, inf) == "centre_distance");
  CHECK(refused(&Section::centre_distance, 25.45e-3) == "centre_distance");  // tips no longer reach
  CHECK(refused(&Section::centre_distance, 12.7e-3) == "centre_distance");   // no root left
  CHECK(refused(&Section::screw_gap, -1e-4) == "screw_gap");
  CHECK_THROWS_WITH_AS(profile(worked(), 0), Contains("starts"), InputError);
}

TEST_CASE("profile: every fault is told, not the first alone") {
  try {
    profile({.barrel_bore = -1, .screw_diameter = 0, .centre_distance = 0, .screw_gap = -1}, 2);
    FAIL("accepted");
  } catch (const InputError& e) {
    CHECK(e.faults().size() == 4);
  }
}
