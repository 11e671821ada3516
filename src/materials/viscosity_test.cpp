#include "materials/viscosity.hpp"

#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <random>
#include <utility>
#include <vector>

using doctest::Approx;
using namespace quern;

namespace {

constexpr double zero_celsius = 273.15;
constexpr double C(double celsius) { return celsius + zero_celsius; }

using Point = std::pair<double, double>;  // rate, viscosity

void check_curve(const Viscosity& v, std::initializer_list<Point> points) {
  for (const auto& [rate, eta] : points) {
    CAPTURE(rate);
    CHECK(viscosity(v, rate, C(200)) == Approx(eta).epsilon(5e-6));  // half of the last figure
  }
}

/// Any law that a file may state, without its pressure terms.
Viscosity random_law(std::mt19937& random) {
  const auto between = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
  const auto decades = [&](double a, double b) { return std::pow(10, between(a, b)); };
  Viscosity v;
  switch (random() % 5) {
    case 0:
      v = newtonian(decades(-3, 7));
      break;
    case 1:
      v = power_law(decades(-3, 7), decades(-2, 3), between(0.05, 1));
      break;
    case 2:
      v = cross(decades(-3, 7), decades(3, 6), between(0.05, 1));
      break;
    case 3:
      v = carreau_yasuda(decades(1, 7), decades(-3, 0), decades(-4, 2), between(0.1, 5), between(0.05, 1));
      break;
    default:
      return cross_wlf(decades(3, 6), between(0.05, 1), decades(2, 17), between(220, 550), 0, between(5, 60),
                       between(1, 200));
  }
  switch (random() % 4) {
    case 0:
      return with_arrhenius(v, between(1e3, 2e5), between(350, 600));
    case 1:
      return with_wlf(v, between(1, 20), between(20, 500), between(350, 600));
    case 2:
      return with_exponential(v, between(0, 0.03), between(350, 600));
    default:
      return v;
  }
}

}  // namespace

TEST_CASE("viscosity: Cross's law by hand, eta0 = 1e4 Pa s, tau* = 2e4 Pa, n = 0.3") {
  check_curve(cross(1e4, 2e4, 0.3),
              {{0.01, 9760.798}, {0.1, 8906.125}, {1, 6189.757}, {10, 2447.879}, {100, 607.442}, {1000, 127.395}});
}

TEST_CASE("viscosity: Carreau's law by hand, eta0 = 1e4 Pa s, lambda = 1 s, n = 0.4") {
  check_curve(carreau_yasuda(1e4, 0, 1, 2, 0.4),
              {{0.01, 9999.700}, {0.1, 9970.194}, {1, 8122.524}, {10, 2504.399}, {100, 630.938}, {1000, 158.489}});
}

TEST_CASE("viscosity: Yasuda's exponent widens the transition, a = 0.7 by hand") {
  check_curve(carreau_yasuda(1e4, 0, 1, 0.7, 0.4), {{0.01, 9670.919}, {1, 5520.448}, {100, 610.194}});
}

TEST_CASE("viscosity: a three-constant Carreau table, eta = A/(1 + B rate)^C, is Yasuda's law with a = 1") {
  // Osswald & Hernandez-Ortiz (2006), polypropylene at 220 degC: A = 1386 Pa s, B = 0.091 s, C = 0.68.
  check_curve(carreau_yasuda(1386, 0, 0.091, 1, 1 - 0.68), {{100, 287.624}, {1000, 64.0306}});
}

TEST_CASE("viscosity: the printed power-law example for low-density polyethylene, 373.1 Pa s") {
  // Rao & O'Brien (1998), Design Data for Plastics Engineers, section 1.3.7.2:
  // eta = K0 exp(-beta T) rate^(n-1), K0 = 135990, beta = 0.00863 1/degC, n = 0.3286, at 200 degC and 500 1/s.
  const Viscosity ldpe = with_exponential(power_law(135990, 1, 0.3286), 0.00863, C(0));
  CHECK(viscosity(ldpe, 500, C(200)) == Approx(373.1).epsilon(0.05 / 373.1));
  CHECK(viscosity(ldpe, 500, C(200)) == Approx(373.1008).epsilon(1e-6));
}

TEST_CASE("viscosity: a shift of 8.86 and 101.6 K about a standard temperature, low-density polyethylene") {
  // Rao & O'Brien (1998), the next example: A = 32400 Pa s, B = 3.1 s, C = 0.62 at 190 degC, standard temperature
  // -133 degC. Inputs printed; the answer is worked by hand: aT = 0.893754, 326.443 Pa s at 200 degC and 500 1/s.
  const double C2 = 101.6 + 190 + 133;
  const Viscosity ldpe = with_wlf(carreau_yasuda(32400, 0, 3.1, 1, 0.38), 8.86 * 101.6 / C2, C2, C(190));
  CHECK(viscosity(ldpe, 0, C(200)) / viscosity(ldpe, 0, C(190)) == Approx(0.893754).epsilon(1e-6));
  CHECK(viscosity(ldpe, 500, C(200)) == Approx(326.443).epsilon(2e-6));
}

TEST_CASE("viscosity: the universal WLF shift 50 K above the glass transition is 10^-8.582677") {
  const Viscosity v = with_wlf(newtonian(1), 17.44, 51.6, 373.15);  // Williams, Landel, Ferry (1955)
  CHECK(std::log10(viscosity(v, 1, 423.15)) == Approx(-8.582677).epsilon(1e-7));
}

TEST_CASE("viscosity: an Arrhenius shift of 40 kJ/mol from 200 to 230 degC is 0.5454") {
  CHECK(viscosity(with_arrhenius(newtonian(1), 40e3, C(200)), 1, C(230)) == Approx(0.545375).epsilon(5e-5));
  // 0.545375 is worked with R rounded to 8.314 J/(mol K): the same E/R must give the same shift.
  const double same_E_over_R = 40e3 * 8.31446261815324 / 8.314;
  CHECK(viscosity(with_arrhenius(newtonian(1), same_E_over_R, C(200)), 1, C(230)) == Approx(0.545375).epsilon(1e-6));
}

TEST_CASE("viscosity: zero-shear values of published Cross-WLF constants") {
  // Osswald & Rudolph (2015), Polymer Rheology, read in an open-source material library; tau* does not matter here.
  const auto eta0 = [](double n, double D1, double D2, double A1, double A2, double T) {
    return viscosity(cross_wlf(2e4, n, D1, D2, 0, A1, A2), 0, T);
  };
  CHECK(eta0(0.251, 564, 493, 2803.3, 165097.1, C(230)) == Approx(474.72).epsilon(1e-5));       // polypropylene
  CHECK(eta0(0.243, 1223, 503, 6.5, 158.2, C(220)) == Approx(1883.04).epsilon(1e-5));           // polystyrene
  CHECK(eta0(0.116, 462, 573, 8.4, 246.8, C(290)) == Approx(655.08).epsilon(1e-5));             // polycarbonate
  CHECK(eta0(0.347, 144, 573, 256999.6, 11235949, C(290)) == Approx(180.39).epsilon(1e-4));     // polyamide 66
  // Oliaei et al. (2016), J. Mater. Sci. Technol. 32, 710, read in the same way: poly(lactic acid).
  CHECK(eta0(0.01, 7.63e16, 432.0627, 36.10003, 1.094729, C(200)) == Approx(40.87).epsilon(2e-4));
  CHECK(eta0(0.01, 7.63e16, 432.0627, 36.10003, 1.094729, C(190)) == Approx(54.68).epsilon(2e-4));
}

TEST_CASE("viscosity: the polypropylene constants amount to an activation energy of 34.3 kJ/mol at 493 K") {
  const Viscosity pp = cross_wlf(2e4, 0.251, 564, 493, 0, 2803.3, 165097.1);
  const double ratio = viscosity(pp, 0, 492) / viscosity(pp, 0, 494);
  const double E = 8.31446261815324 * std::log(ratio) / (1 / 492.0 - 1 / 494.0);
  CHECK(E == Approx(34.3e3).epsilon(2e-3));
}

TEST_CASE("viscosity: a power law is Carreau's law far beyond its plateau") {
  const double n = 0.35, lambda = 2, eta0 = 5000;
  const Viscosity carreau = carreau_yasuda(eta0, 0, lambda, 2, n), line = power_law(eta0, 1 / lambda, n);
  for (const double rate : {1e4, 1e6, 1e9})
    CHECK(viscosity(carreau, rate, C(200)) == Approx(viscosity(line, rate, C(200))).epsilon(1e-7));
}

TEST_CASE("viscosity: without rate, Cross's and Carreau's laws are at eta0, and n = 1 is Newtonian at every rate") {
  CHECK(viscosity(cross(1234, 2e4, 0.3), 0, C(200)) == Approx(1234).epsilon(1e-12));
  CHECK(viscosity(carreau_yasuda(1234, 1, 1, 2, 0.3), 0, C(200)) == Approx(1234).epsilon(1e-12));
  for (const double rate : {0.0, 1e-9, 1.0, 1e9}) {
    CHECK(viscosity(power_law(70, 10, 1), rate, C(200)) == Approx(70).epsilon(1e-12));
    CHECK(viscosity(newtonian(70), rate, C(20)) == Approx(70).epsilon(1e-12));
  }
}

TEST_CASE("viscosity: Cross's law is half of eta0 where eta0 times rate equals tau*") {
  CHECK(viscosity(cross(8000, 2e4, 0.27), 2e4 / 8000, C(200)) == Approx(4000).epsilon(1e-12));
}

TEST_CASE("viscosity: at very high rates the viscosity at infinite rate remains") {
  CHECK(viscosity(carreau_yasuda(1e4, 12, 1, 2, 0.3), 1e15, C(200)) == Approx(12).epsilon(1e-4));
}

TEST_CASE("viscosity: time and temperature superpose, eta(rate, T) = a eta(a rate, T_ref)") {
  const double T_ref = C(200), T = C(243);
  for (const Viscosity& v : {with_arrhenius(cross(9000, 3e4, 0.3), 42e3, T_ref),
                             with_wlf(carreau_yasuda(9000, 0, 0.4, 0.7, 0.3), 5.04, 178.6, T_ref),
                             with_exponential(carreau_yasuda(9000, 0, 0.4, 2, 0.3), 0.01, T_ref)}) {
    const double a = viscosity(v, 0, T) / viscosity(v, 0, T_ref);
    for (const double rate : {1e-3, 1.0, 37.0, 1e5})
      CHECK(viscosity(v, rate, T) == Approx(a * viscosity(v, a * rate, T_ref)).epsilon(1e-12));
  }
}

TEST_CASE("viscosity: temperature moves a power law's level alone") {
  const Viscosity v = with_exponential(power_law(7500, 1, 0.38), 0.004, C(200));
  for (const double rate : {0.1, 10.0, 1e4})
    CHECK(viscosity(v, rate, C(220)) / viscosity(v, rate, C(200)) == Approx(std::exp(-0.08)).epsilon(1e-12));
}

TEST_CASE("viscosity: every shift is 1 at its reference temperature") {
  for (const Viscosity& v : {with_arrhenius(newtonian(3), 6e4, 470), with_wlf(newtonian(3), 5, 150, 470),
                             with_exponential(newtonian(3), 0.02, 470)})
    CHECK(viscosity(v, 1, 470) == Approx(3).epsilon(1e-12));
}

TEST_CASE("viscosity: the pressure coefficient is the slope of ln eta with pressure") {
  Viscosity v = newtonian(100);
  v.beta = 3e-8;
  CHECK(viscosity(v, 1, C(200), 20e6) == Approx(100 * std::exp(0.6)).epsilon(1e-12));
  // D3 of a Cross-WLF law moves the reference temperature: pressure acts as cooling by D3 p.
  const Viscosity ps = cross_wlf(3e4, 0.25, 1223, 503, 2e-7, 6.5, 158.2);
  CHECK(viscosity(ps, 0, C(220), 30e6) == Approx(viscosity(ps, 0, C(220) - 6)).epsilon(1e-12));
}

TEST_CASE("viscosity: near and below the pole of a WLF shift the value of 5 K above the pole stands") {
  const Viscosity v = with_wlf(newtonian(1), 17.44, 51.6, 373.15);
  const double pole = 373.15 - 51.6;
  for (const double T : {pole - 100, pole, pole + 4.9}) CHECK(viscosity(v, 1, T) == viscosity(v, 1, pole + 5));
  CHECK(viscosity(v, 1, pole + 5.1) < viscosity(v, 1, pole + 5));
}

TEST_CASE(
    "viscosity: of any law is positive and finite, and falls with rate and temperature, over 24 decades of rate") {
  std::mt19937 random(3);
  const auto no_more_than = [](double a, double b) { return a <= b * (1 + 1e-9); };
  for (int i = 0; i < 400; ++i) {
    const Viscosity v = random_law(random);
    CAPTURE(i);
    for (double T = 1; T < 2000; T *= 1.5)
      for (double rate = 1e-12; rate < 2e12; rate *= 100) {
        const double eta = viscosity(v, rate, T, 1e7), at_rest = viscosity(v, 0, T);
        REQUIRE(std::isfinite(eta));
        REQUIRE(std::isfinite(at_rest));
        REQUIRE(eta > 0);
        REQUIRE(no_more_than(viscosity(v, rate * 100, T), viscosity(v, rate, T)));
        REQUIRE(no_more_than(viscosity(v, rate, T * 1.5), viscosity(v, rate, T)));
      }
  }
}

TEST_CASE("viscosity: shear stress never falls with rate") {
  std::mt19937 random(4);
  for (int i = 0; i < 400; ++i) {
    const Viscosity v = random_law(random);
    CAPTURE(i);
    for (double rate = 1e-6; rate < 1e6; rate *= 1.7)
      REQUIRE(rate * 1.7 * viscosity(v, rate * 1.7, 480) >= rate * viscosity(v, rate, 480) * (1 - 1e-9));
  }
}

TEST_CASE("suspension: Krieger and Dougherty at 30 % solids packing to 63 %, by hand") {
  CHECK(suspension_factor(0.3, 0.63) == Approx(2.768866).epsilon(1e-6));
}

TEST_CASE("suspension: few solids add 2.5 times their volume, Einstein (1906)") {
  for (const double packing : {0.4, 0.63, 0.74}) {
    const double phi = 1e-6;
    CHECK((suspension_factor(phi, packing) - 1) / phi == Approx(2.5).epsilon(1e-4));
  }
}

TEST_CASE("suspension: 2.5 phi_m = 2 is the law of Maron and Pierce (1956)") {
  CHECK(suspension_factor(0.3, 0.8) == Approx(std::pow(1 - 0.3 / 0.8, -2)).epsilon(1e-12));
}

TEST_CASE("suspension: rises with solids, is 1 without, and stays finite beyond packing") {
  CHECK(suspension_factor(0, 0.5) == 1);
  CHECK(suspension_factor(-0.1, 0.5) == 1);
  for (double phi = 0; phi < 0.45; phi += 0.01) CHECK(suspension_factor(phi + 0.01, 0.5) > suspension_factor(phi, 0.5));
  CHECK(suspension_factor(0.9, 0.5) == Approx(std::pow(0.05, -1.25)).epsilon(1e-9));
}
