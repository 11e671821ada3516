#include "flow/heat_transfer.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

#include "base/error.hpp"

using doctest::Approx;
using doctest::Contains;
using namespace quern;

namespace {

constexpr double C(double celsius) { return celsius + 273.15; }

/// A strand of which a time is a Fourier number and a film a Biot number; excess 1.
StrandCooling unit_strand(double biot, double fourier) { return cool_strand(2, fourier, biot, 1, 1, 1, 1, 0); }

}  // namespace

TEST_CASE("melt film: Todd (1988), 50 mm at 300 rpm") {
  CHECK(melt_film_coefficient(50e-3, 5, 750, 500, 2600, 0.2) == Approx(218.72).epsilon(3e-5));
}

TEST_CASE("melt film: a stiffer melt at the same speed takes less from the barrel, a faster screw more") {
  const double h = melt_film_coefficient(50e-3, 5, 750, 500, 2600, 0.2);
  CHECK(melt_film_coefficient(50e-3, 10, 750, 500, 2600, 0.2) == Approx(h * std::pow(2, 0.28)).epsilon(1e-9));
  CHECK(melt_film_coefficient(50e-3, 5, 750, 1000, 2600, 0.2) == Approx(h * std::pow(2, 0.05)).epsilon(1e-9));
}

TEST_CASE("surface rise: constant flux into a half space, and its growth with the root of time") {
  CHECK(surface_rise(1e4, 0.1, 0.2, 900, 1900) == Approx(6.1016).epsilon(1e-5));
  CHECK(surface_rise(1e4, 0.4, 0.2, 900, 1900) == Approx(2 * surface_rise(1e4, 0.1, 0.2, 900, 1900)).epsilon(1e-12));
  CHECK(surface_rise(0, 1, 0.2, 900, 1900) == 0);
}

TEST_CASE("coolant: Melinder (2010) at tabulated points") {
  struct Row {
    double x, T, rho, cp, k, mu;
  };
  for (const Row& r : {Row{0.3, -10, 1047.8, 3646, 0.4367, 6.616}, Row{0.3, 30, 1034.3, 3768, 0.4742, 1.653},
                       Row{0.4, -20, 1067.4, 3348, 0.3944, 15.105}, Row{0.4, 0, 1061.3, 3430, 0.4095, 5.798},
                       Row{0.5, 10, 1071.2, 3242, 0.3830, 5.371}}) {
    const Coolant c = glycol_water(r.x, C(r.T));
    CHECK(c.density == Approx(r.rho).epsilon(1e-9));
    CHECK(c.heat_capacity == Approx(r.cp).epsilon(1e-9));
    CHECK(c.conductivity == Approx(r.k).epsilon(1e-9));
    CHECK(c.viscosity == Approx(r.mu * 1e-3).epsilon(1e-9));
  }
}

TEST_CASE("coolant: pure water at 20 degC") {  // IAPWS: 998.2 kg/m3, 4184 J/(kg K), 0.598 W/(m K), 1.002 mPa s
  const Coolant c = glycol_water(0, C(20));
  CHECK(c.density == Approx(998.2).epsilon(1e-4));
  CHECK(c.heat_capacity == Approx(4184).epsilon(1e-3));
  CHECK(c.viscosity == Approx(1.0016e-3).epsilon(1e-3));
  CHECK(c.heat_capacity * c.viscosity / c.conductivity == Approx(7.0).epsilon(0.01));  // Prandtl number
}

TEST_CASE("coolant: between table points it neither jumps nor leaves its neighbours") {
  for (double T = -8; T < 35; T += 0.5)
    for (double x = 0.28; x <= 0.4995; x += 0.01) {
      const Coolant a = glycol_water(x, C(T)), b = glycol_water(x + 1e-7, C(T + 1e-6));
      CHECK(std::abs(a.viscosity - b.viscosity) < 1e-5 * a.viscosity);
      CHECK(std::abs(a.density - b.density) < 1e-3);
      CHECK(glycol_water(x, C(T + 1)).viscosity < a.viscosity);
      CHECK(glycol_water(std::min(0.5, x + 0.01), C(T)).viscosity > a.viscosity);
    }
}

TEST_CASE("coolant: freezing points by Melinder (2010)") {
  const double rows[][2] = {{0.20, -7.93},  {0.25, -10.96}, {0.30, -14.60}, {0.35, -18.89},
                            {0.40, -23.87}, {0.45, -29.57}, {0.50, -36.03}};
  for (const auto& [x, T] : rows) CHECK(freezing_point(x) == Approx(C(T)).epsilon(1e-9));
  CHECK(freezing_point(0) == Approx(C(0)));
}

TEST_CASE("coolant: frozen, too warm or too rich is refused") {
  CHECK_THROWS_WITH_AS(glycol_water(0.3, C(-20)),
                       Contains("30 % glycol at -20 degC is frozen: it freezes at -14.6 degC"), InputError);
  CHECK_THROWS_AS(glycol_water(0, C(-0.1)), InputError);
  CHECK_THROWS_WITH_AS(glycol_water(0.4, C(60)), Contains("at most 40 degC"), InputError);
  CHECK_THROWS_WITH_AS(glycol_water(0.6, C(0)), Contains("0 % to 50 %"), InputError);
  CHECK_THROWS_AS(glycol_water(-0.1, C(0)), InputError);
  CHECK_THROWS_AS(glycol_water(std::nan(""), C(0)), InputError);
  CHECK_THROWS_AS(glycol_water(0.3, std::nan("")), InputError);
  CHECK_NOTHROW(glycol_water(0.3, C(-14.5)));
}

TEST_CASE("strand: centre, surface and mean of the infinite cylinder, five digits") {
  struct Row {
    double Bi, Fo, core, surface, mean;
  };
  for (const Row& r : {Row{1, 0.2, 0.87017, 0.57023, 0.71852}, Row{1, 0.5, 0.54859, 0.35279, 0.44738},
                       Row{5, 0.2, 0.67142, 0.15892, 0.39620}, Row{10, 0.05, 0.99367, 0.20093, 0.67110},
                       Row{10, 0.2, 0.60023, 0.07484, 0.31168}, Row{10, 0.5, 0.14580, 0.01776, 0.07477},
                       Row{100, 0.2, 0.51271, 0.00648, 0.22730}}) {
    CAPTURE(r.Bi);
    CAPTURE(r.Fo);
    const StrandCooling s = unit_strand(r.Bi, r.Fo);
    CHECK(std::abs(s.core - r.core) < 6e-6);
    CHECK(std::abs(s.surface - r.surface) < 6e-6);
    CHECK(std::abs(s.mean - r.mean) < 6e-6);
  }
}

TEST_CASE("strand: 3 mm from 220 into 20 degC reaches 100 degC at the core in 5.970 s, a mean of 80 in 4.310 s") {
  const auto at = [](double time) { return cool_strand(3e-3, time, 1500, 0.22, 850, 2400, C(220), C(20)); };
  CHECK(std::abs(at(5.970).core - C(100)) < 0.02);
  CHECK(std::abs(at(4.310).mean - C(80)) < 0.02);
  CHECK(std::abs(at(4).mean - C(84.5)) < 0.06);
  CHECK(std::abs(at(4).core - C(144.3)) < 0.06);
}

TEST_CASE("strand: heat balance, the mean falls by what the surface gives off") {
  // d mean/dFo = -2 Bi surface, by central differences through both the flat and the series form.
  for (const double Bi : {0.1, 1.0, 10.0})
    for (const double Fo : {2e-4, 2e-3, 0.05, 0.5}) {
      CAPTURE(Bi);
      CAPTURE(Fo);
      const double d = 1e-3 * Fo;
      const double slope = (unit_strand(Bi, Fo + d).mean - unit_strand(Bi, Fo - d).mean) / (2 * d);
      CHECK(slope == Approx(-2 * Bi * unit_strand(Bi, Fo).surface).epsilon(0.01));
    }
}

TEST_CASE("strand: the first moments join the series") {
  for (const double Bi : {0.1, 1.0, 10.0, 100.0}) {
    CAPTURE(Bi);
    const StrandCooling early = unit_strand(Bi, 4.999e-4), late = unit_strand(Bi, 5.001e-4);
    CHECK(early.mean == Approx(late.mean).epsilon(1e-3));
    CHECK(early.surface == Approx(late.surface).epsilon(0.02));
    CHECK(early.core == Approx(late.core).epsilon(1e-6));
  }
}

TEST_CASE("strand: no time, no film or endless time") {
  CHECK(unit_strand(5, 0).core == 1);
  CHECK(unit_strand(0, 1).mean == 1);
  CHECK(std::abs(unit_strand(5, 100).core) < 1e-12);
  CHECK(std::isfinite(unit_strand(1e6, 1e-7).surface));
  CHECK(std::isfinite(unit_strand(1e-9, 1e-3).surface));
}
