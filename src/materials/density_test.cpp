#include "materials/density.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

using doctest::Approx;
using quern::density;
using quern::Density;

namespace {

constexpr double zero_celsius = 273.15;

/// V(0) = A0 + A1 t + A2 t² [m3/kg], B = B0 exp(-B1 t) [Pa], t in degC, as handbooks print it.
Density handbook(double A0, double A1, double A2, double B0, double B1) {
  return {.law = Density::Law::tait, .b1 = A0, .b2 = A1, .b3 = B0, .b4 = B1, .b5 = zero_celsius, .b6 = A2};
}

/// poly(lactic acid): Oliaei et al. (2016), J. Mater. Sci. Technol. 32, 710; read in a material library.
const Density pla{.law = Density::Law::tait, .b1 = 8.27e-4, .b2 = 8.5e-7, .b3 = 1.63e8, .b4 = 0.006196, .b5 = 361.26};

}  // namespace

TEST_CASE("density: the printed Tait example for poly(methyl methacrylate) is met") {
  // Danner & High (1993), Handbook of Polymer Solution Thermodynamics, p. 39, as quoted in the tests of an
  // open-source library: 159 degC, 2000 bar.
  const Density pmma = handbook(8.2396e-4, 3.0490e-7, 7.0201e-10, 2.9803e8, 4.3789e-3);
  CHECK(1 / density(pmma, 159 + zero_celsius) == Approx(8.9019e-4).epsilon(6e-6));
  CHECK(1 / density(pmma, 159 + zero_celsius, 2000e5) == Approx(8.2232e-4).epsilon(6e-6));
}

TEST_CASE("density: Tait parameters of the same handbook give the melts' densities") {
  // Evaluated by hand from the printed parameters of Danner & High (1993), at 0.1 MPa unless told.
  const Density ipp = handbook(1.2033e-3, 4.8182e-7, 7.7589e-10, 1.4236e8, 4.0184e-3);
  CHECK(density(ipp, 200 + zero_celsius, 0.1e6) == Approx(751.59).epsilon(2e-5));
  CHECK(density(ipp, 230 + zero_celsius, 0.1e6) == Approx(738.04).epsilon(2e-5));
  CHECK(density(ipp, 230 + zero_celsius, 10e6) == Approx(748.83).epsilon(2e-5));
  CHECK(density(handbook(1.1004e-3, 1.4557e-6, -1.5749e-9, 1.7598e8, 4.6677e-3), 190 + zero_celsius, 0.1e6) ==
        Approx(757.60).epsilon(2e-5));
  CHECK(density(handbook(1.1567e-3, 6.2888e-7, 1.1268e-9, 1.7867e8, 4.7254e-3), 190 + zero_celsius, 0.1e6) ==
        Approx(759.47).epsilon(2e-5));
  CHECK(density(handbook(9.3805e-4, 3.3086e-7, 6.6910e-10, 2.5001e8, 4.1815e-3), 190 + zero_celsius, 0.1e6) ==
        Approx(975.62).epsilon(2e-5));
}

TEST_CASE("density: the melt domain of a two-domain Tait table for poly(lactic acid)") {
  CHECK(density(pla, 473.15) == Approx(1084.473).epsilon(1e-6));
  CHECK(density(pla, 473.15, 100e6) == Approx(1168.091).epsilon(1e-6));
  CHECK(density(pla, 463.15, 50e6) == Approx(1141.011).epsilon(1e-6));
}

TEST_CASE("density: the solid domain of the same table is the same law with its own constants") {
  const Density solid{
      .law = Density::Law::tait, .b1 = 8.21e-4, .b2 = 4.47e-7, .b3 = 2.14e8, .b4 = 0.006078, .b5 = 361.26};
  CHECK(density(solid, 298.15) == Approx(1261.368).epsilon(1e-6));
}

TEST_CASE("density: the one-domain table of Rodgers") {
  // Rodgers (1993), J. Appl. Polym. Sci. 48, 1061, values from memory; t in degC, cm3/g, MPa.
  const Density hdpe = handbook(1.1595e-3, 8.0394e-7, 0, 179.9e6, 4.739e-3);
  CHECK(density(hdpe, 200 + zero_celsius) == Approx(757.4).epsilon(1e-4));
  CHECK(density(hdpe, 200 + zero_celsius, 50e6) == Approx(795.9).epsilon(1e-4));
  const Density pmma = handbook(0.8254e-3, 2.8383e-7, 7.792e-10, 287.5e6, 4.146e-3);
  CHECK(density(pmma, 200 + zero_celsius) == Approx(1094.9).epsilon(1e-4));
  CHECK(density(pmma, 200 + zero_celsius, 50e6) == Approx(1128.7).epsilon(1e-4));
  const Density pet = handbook(0.6883e-3, 5.90e-7, 0, 369.7e6, 4.150e-3);
  CHECK(density(pet, 280 + zero_celsius) == Approx(1171.6).epsilon(1e-4));
  CHECK(density(pet, 280 + zero_celsius, 50e6) == Approx(1210.5).epsilon(1e-4));
}

TEST_CASE("density: tables with an exponential volume agree with the quadratic of another source within 1 %") {
  // Rodgers (1993) from memory: low-density polyethylene, isotactic polypropylene, polystyrene at 200 degC, 0 and 50 MPa;
  // Danner & High (1993) for the same polymers. Two fits of different samples.
  const Density ldpe = handbook(1.1004e-3, 1.4557e-6, -1.5749e-9, 1.7598e8, 4.6677e-3);
  const Density ipp = handbook(1.2033e-3, 4.8182e-7, 7.7589e-10, 1.4236e8, 4.0184e-3);
  const Density ps = handbook(9.3805e-4, 3.3086e-7, 6.6910e-10, 2.5001e8, 4.1815e-3);
  const double T = 200 + zero_celsius;
  CHECK(density(ldpe, T) == Approx(757.8).epsilon(0.01));
  CHECK(density(ldpe, T, 50e6) == Approx(793.9).epsilon(0.01));
  CHECK(density(ipp, T) == Approx(753.6).epsilon(0.01));
  CHECK(density(ipp, T, 50e6) == Approx(794.2).epsilon(0.01));
  CHECK(density(ps, T) == Approx(971.8).epsilon(0.01));
  CHECK(density(ps, T, 50e6) == Approx(1005.0).epsilon(0.01));
}

TEST_CASE("density: the compressibility of Tait's law at no pressure is 0.0894/B") {
  const double T = 463.15, B = pla.b3 * std::exp(-pla.b4 * (T - pla.b5)), dp = 1e3;
  CHECK((density(pla, T, dp) / density(pla, T) - 1) / dp == Approx(0.0894 / B).epsilon(1e-4));
}

TEST_CASE("density: the linear law has its value and slope at the reference") {
  const Density d{.law = Density::Law::linear, .rho = 760, .slope = -0.6, .T_ref = 463.15};
  CHECK(density(d, 463.15) == 760);
  CHECK(density(d, 473.15) == Approx(754).epsilon(1e-12));
  CHECK(density(d, 473.15, 1e8) == density(d, 473.15));
}

TEST_CASE("density: no temperature or pressure makes it negative or infinite") {
  Density steep = pla, bent = pla, line{.law = Density::Law::linear, .slope = -10};
  steep.b4 = 1;  // the largest a file may state
  bent.b6 = -1.6e-9;  // a polynomial that bends down
  for (const Density& d : {pla, steep, bent, line})
    for (double T = 1; T < 2500; T *= 1.3)
      for (const double p : {-1e5, 0.0, 1e5, 1e8, 1e12}) {
        CAPTURE(T);
        CAPTURE(p);
        CHECK(density(d, T, p) > 0);
        CHECK(density(d, T, p) < 1e5);
      }
}
