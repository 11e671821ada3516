#include "materials/solid.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

using doctest::Approx;
using quern::Solid;
using quern::yield_stress;

TEST_CASE("yield stress: at the reference temperature and rate it is the stated value") {
  const Solid s;
  CHECK(yield_stress(s, s.yield_T_ref, s.yield_rate_ref) == Approx(s.yield).epsilon(1e-12));
}

TEST_CASE("yield stress: away from the ends it falls in a straight line towards its zero") {
  Solid s;
  s.yield_floor = 0;
  const double middle = 0.5 * (s.yield_T_ref + s.yield_T_zero);
  CHECK(yield_stress(s, middle, s.yield_rate_ref) == Approx(0.5 * s.yield).epsilon(1e-4));
  const double cold = s.yield_T_ref - 40, slope = s.yield / (s.yield_T_zero - s.yield_T_ref);
  CHECK(yield_stress(s, cold, s.yield_rate_ref) == Approx(s.yield + 40 * slope).epsilon(1e-9));
}

TEST_CASE("yield stress: far above its zero the floor remains") {
  const Solid s;
  CHECK(yield_stress(s, s.yield_T_zero + 150, s.yield_rate_ref) == Approx(s.yield_floor * s.yield).epsilon(1e-9));
}

TEST_CASE("yield stress: a tenfold rate adds a fixed share, as an activated process does") {
  // Eyring (1936): in the high-stress limit dσ/d ln ε̇ = R T/V*; for V* = 2e-3 m3/mol at 23 degC that is 2.8347 MPa
  // a decade, so a material of 30 MPa gains 0.0945 of its value.
  const double per_decade = 8.31446261815324 * 296.15 / 2e-3 * std::log(10.0);
  CHECK(per_decade == Approx(2.8347e6).epsilon(1e-4));
  Solid s;
  s.yield = 30e6;
  s.yield_per_decade = per_decade / s.yield;
  for (const double rate : {1e-2, 1.0, 1e2, 1e4})
    CHECK(yield_stress(s, s.yield_T_ref, 10 * rate) - yield_stress(s, s.yield_T_ref, rate) ==
          Approx(per_decade).epsilon(1e-9));
}

TEST_CASE("yield stress: eight decades of rate at most quadruple the value of polypropylene") {
  // Okereke, Buckley, Siviour (2012), Mech. Time-Depend. Mater. 16, 361: compression, up to a factor of 4 from 1e-4 to 1e4 1/s.
  const Solid s;
  const double factor = yield_stress(s, s.yield_T_ref, 1e4) / yield_stress(s, s.yield_T_ref, 1e-4);
  CHECK(factor > 1.2);
  CHECK(factor < 4);
}

TEST_CASE("yield stress: falls with temperature and rises with rate, and is positive everywhere") {
  const Solid s;
  for (double rate = 1e-12; rate < 1e13; rate *= 10)
    for (double T = 1; T < 2000; T += 7) {
      CAPTURE(T);
      CAPTURE(rate);
      const double here = yield_stress(s, T, rate);
      CHECK(here > 0);
      CHECK(yield_stress(s, T + 7, rate) <= here);
      CHECK(yield_stress(s, T, 10 * rate) >= here);
    }
}

TEST_CASE("yield stress: the law bends into its floor without a jump in slope") {
  const Solid s;
  const double h = 0.01;
  double last = yield_stress(s, s.yield_T_zero - 60, 1) - yield_stress(s, s.yield_T_zero - 60 - h, 1);
  for (double T = s.yield_T_zero - 60; T < s.yield_T_zero + 60; T += h) {
    const double step = yield_stress(s, T + h, 1) - yield_stress(s, T, 1);
    REQUIRE(std::fabs(step - last) < 1e-3 * s.yield / (s.yield_T_zero - s.yield_T_ref) * h * 3);
    last = step;
  }
}

TEST_CASE("yield stress: very slow straining never takes more than 95 % of the stated value") {
  const Solid s;
  CHECK(yield_stress(s, s.yield_T_ref, 0) == Approx(0.05 * s.yield).epsilon(1e-12));
  CHECK(yield_stress(s, s.yield_T_ref, 1e-300) == Approx(0.05 * s.yield).epsilon(1e-12));
}
