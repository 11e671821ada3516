#include "materials/thermal.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <random>

#include "base/error.hpp"

using doctest::Approx;
using quern::enthalpy;
using quern::heat_capacity;
using quern::melt_fraction;
using quern::temperature;
using quern::Thermal;

namespace {

const Thermal pp{.cp_solid = 1900, .cp_melt = 2600, .T_melt = 438.15, .width = 0.5, .fusion = 100e3};

/// ∫ cp dT, cut at the step where the integrand peaks.
double integral_of_cp(const Thermal& t, double from, double to) {
  using boost::math::quadrature::gauss_kronrod;
  const auto cp = [&](double T) { return heat_capacity(t, T); };
  double sum = 0, a = from;
  for (const double u : {-40.0, -8.0, -2.0, 0.0, 2.0, 8.0, 40.0}) {
    const double b = std::clamp(t.T_melt + u * t.width, a, to);
    if (b > a) sum += gauss_kronrod<double, 31>::integrate(cp, a, b, 15, 1e-13);
    a = b;
  }
  return sum + (to > a ? gauss_kronrod<double, 31>::integrate(cp, a, to, 15, 1e-13) : 0.0);
}

/// Any material that a file may state.
Thermal random_thermal(std::mt19937& random) {
  const auto between = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
  return {.cp_solid = between(100, 5000),
          .cp_melt = between(100, 5000),
          .T_melt = between(250, 700),
          .width = between(0.1, 60),
          .fusion = between(0, 2e6)};
}

}  // namespace

TEST_CASE("enthalpy: polypropylene from 25 to 200 degC takes 457 kJ/kg") {
  // 1.9 kJ/(kg K) to 165 degC, 100 kJ/kg of fusion, 2.6 kJ/(kg K) above: 266 + 100 + 91 = 457 kJ/kg, by hand.
  CHECK(enthalpy(pp, 473.15) - enthalpy(pp, 298.15) == Approx(457e3).epsilon(1e-6));
  CHECK((enthalpy(pp, 473.15) - enthalpy(pp, 298.15)) / 3.6e6 == Approx(0.12694).epsilon(1e-4));  // kWh/kg
}

TEST_CASE("enthalpy: is the integral of the heat capacity") {
  std::mt19937 random(1);
  for (int i = 0; i < 50; ++i) {
    const Thermal t = random_thermal(random);
    CAPTURE(t.width);
    CHECK(enthalpy(t, 900) - enthalpy(t, 200) == Approx(integral_of_cp(t, 200, 900)).epsilon(1e-10));
  }
}

TEST_CASE("enthalpy: is zero at 0 degC") {
  CHECK(enthalpy(pp, 273.15) == 0);
  CHECK(enthalpy(Thermal{}, 273.15) == 0);
}

TEST_CASE("enthalpy: a liquid's is a straight line") {
  const Thermal oil{.cp_melt = 2500};
  CHECK(enthalpy(oil, 373.15) == Approx(250e3).epsilon(1e-12));
  CHECK(heat_capacity(oil, 400) == 2500);
  CHECK(melt_fraction(oil, 10) == 1);
}

TEST_CASE("temperature: undoes the enthalpy at any width of the step, to 1e-9") {
  std::mt19937 random(2);
  for (int i = 0; i < 2000; ++i) {
    const Thermal t = random_thermal(random);
    const double T = std::uniform_real_distribution(101.0, 1499.0)(random);
    CAPTURE(T);
    CAPTURE(t.T_melt);
    CAPTURE(t.width);
    CHECK(temperature(t, enthalpy(t, T)) == Approx(T).epsilon(1e-9));
  }
}

TEST_CASE("temperature: undoes the enthalpy inside the melting step and of a liquid") {
  for (double u = -12; u <= 12; u += 0.25) {
    const double T = pp.T_melt + u * pp.width;
    CHECK(temperature(pp, enthalpy(pp, T)) == Approx(T).epsilon(1e-9));
  }
  CHECK(temperature(Thermal{}, 2e5) == Approx(373.15).epsilon(1e-12));
}

TEST_CASE("temperature: a heat content that no stock can have is refused") {
  CHECK_THROWS_AS(temperature(pp, 1e9), quern::InputError);
  CHECK_THROWS_AS(temperature(pp, -1e9), quern::InputError);
  CHECK_THROWS_AS(temperature(pp, std::nan("")), quern::InputError);
}

TEST_CASE("melt fraction: half at the middle of the step, none below it, all above it") {
  CHECK(melt_fraction(pp, pp.T_melt) == 0.5);
  CHECK(melt_fraction(pp, pp.T_melt - 20 * pp.width) < 1e-8);
  CHECK(melt_fraction(pp, pp.T_melt + 20 * pp.width) > 1 - 1e-8);
  for (const double d : {0.1, 1.0, 3.0})  // the step is symmetric
    CHECK(melt_fraction(pp, pp.T_melt - d) + melt_fraction(pp, pp.T_melt + d) == Approx(1).epsilon(1e-12));
}

TEST_CASE("heat capacity: equals the slope of the enthalpy") {
  for (double T = 280; T < 600; T += 3.3) {
    const double h = 1e-3;
    CHECK((enthalpy(pp, T + h) - enthalpy(pp, T - h)) / (2 * h) == Approx(heat_capacity(pp, T)).epsilon(1e-5));
  }
}

TEST_CASE("heat capacity: far from the step it is the solid's or the melt's; all of it stays finite") {
  CHECK(heat_capacity(pp, 300) == Approx(1900).epsilon(1e-9));
  CHECK(heat_capacity(pp, 550) == Approx(2600).epsilon(1e-9));
  for (double T = 1; T < 1e5; T *= 1.1) {
    CHECK(heat_capacity(pp, T) > 0);
    CHECK(std::isfinite(enthalpy(pp, T)));
  }
}
