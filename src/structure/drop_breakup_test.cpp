#include "structure/drop_breakup.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <utility>

using doctest::Approx;
using namespace quern;

// De Bruijn (1989), values of the printed fit worked out by hand.
TEST_CASE("critical capillary number: de Bruijn's fit, with its least value beside equal viscosities") {
  const std::pair<double, double> table[] = {
      {1e-4, 79.532}, {0.001, 8.71064}, {0.01, 1.70943}, {0.1, 0.61489}, {0.3, 0.48010}, {0.5, 0.45846}, {0.6, 0.45739},
      {0.7, 0.45982}, {1, 0.48119},     {1.5, 0.55587},  {2, 0.70263},   {3, 2.16758},   {3.5, 15.979}};
  for (const auto& [lambda, expected] : table) {
    CAPTURE(lambda);
    CHECK(critical_capillary_shear(lambda).value() == Approx(expected).epsilon(2e-5));
  }
  const double least = critical_capillary_shear(0.5754).value();
  CHECK(least == Approx(0.457286).epsilon(2e-6));
  CHECK(critical_capillary_shear(0.5654).value() > least);
  CHECK(critical_capillary_shear(0.5854).value() > least);
}

// Grace (1982), Chem. Eng. Commun. 14, 225.
TEST_CASE("critical capillary number: no steady shear breaks a drop four times as viscous as its matrix") {
  CHECK(critical_capillary_shear(3.8).has_value());
  for (const double lambda : {3.81, 4.08, 5.0, 100.0, 1e9}) CHECK_FALSE(critical_capillary_shear(lambda).has_value());
}

// Constants of Utracki & Shi (1992) worked out by hand.
TEST_CASE("critical capillary number in elongation: every drop breaks, and the fit's own pole is stepped over") {
  CHECK(critical_capillary_elongation(0.01) == Approx(0.30864).epsilon(2e-5));
  CHECK(critical_capillary_elongation(0.1) == Approx(0.25043).epsilon(2e-5));
  CHECK(critical_capillary_elongation(2) == Approx(0.22093).epsilon(2e-5));
  CHECK(critical_capillary_elongation(10) == Approx(0.22322).epsilon(2e-5));
  for (double lambda = 0.7; lambda < 1.5; lambda += 0.001) {
    CAPTURE(lambda);
    CHECK(critical_capillary_elongation(lambda) == Approx(0.2245).epsilon(0.02));
  }
}

TEST_CASE("largest stable drop: hand-worked diameters at 500 Pa s, 100 1/s and 5 mN/m") {
  const double length = 5e-3 / (500 * 100.0);
  CHECK(2 * critical_capillary_shear(0.1).value() * length == Approx(0.12298e-6).epsilon(1e-4));
  CHECK(2 * critical_capillary_shear(1).value() * length == Approx(0.09624e-6).epsilon(1e-4));
  CHECK(2 * critical_capillary_shear(3).value() * length == Approx(0.43352e-6).epsilon(1e-4));
}

TEST_CASE("Wu's diameter: hand-worked, finest at equal viscosities") {
  CHECK(wu_diameter(0.1, 500, 100, 5e-3) == Approx(2.7673e-6).epsilon(1e-4));
  CHECK(wu_diameter(1, 500, 100, 5e-3) == Approx(0.4e-6).epsilon(1e-12));
  CHECK(wu_diameter(3, 500, 100, 5e-3) == Approx(1.0066e-6).epsilon(1e-4));
}

TEST_CASE("Taylor's deformation: 35/32 Ca at equal viscosities") {
  CHECK(taylor_deformation(1, 0.1) == Approx(0.109375).epsilon(1e-12));
}

TEST_CASE("time to split: Huneault, Shi & Utracki's fit at twice and four times the critical number") {
  CHECK(split_time(1, 2) == Approx(57.02).epsilon(1e-4));
  CHECK(split_time(1, 4) == Approx(38.70).epsilon(1e-4));
}

// Figures of an independent solution of Stokes' equations; 0.56 and 0.071 are Tomotika's own at equal viscosities.
TEST_CASE("thread: fastest ripple, its growth and the drops it makes") {
  struct Row {
    double lambda, X, Omega, drops;
  };
  const Row table[] = {{0.001, 0.2498, 0.79815, 2.662}, {0.01, 0.4134, 0.53297, 2.251}, {0.1, 0.5687, 0.21730, 2.024},
                       {0.28, 0.5900, 0.12924, 1.999},  {1, 0.5620, 0.07101, 2.032},    {10, 0.4076, 0.01957, 2.261},
                       {100, 0.2372, 0.00288, 2.708}};
  for (const Row& row : table) {
    CAPTURE(row.lambda);
    const ThreadBreakup fastest = fastest_ripple(row.lambda);
    CHECK(fastest.wave_number == Approx(row.X).epsilon(5e-4));
    CHECK(fastest.growth == Approx(row.Omega).epsilon(2e-3));
    CHECK(fastest.drop_ratio() == Approx(row.drops).epsilon(5e-4));
  }
}

// Rayleigh (1892), Phil. Mag. 34, 145, a viscous thread in nothing: Ω λ = (1 - X²)/(X² I0²/I1² - 1 - X²).
TEST_CASE("thread: a very viscous one grows its ripples as Rayleigh's does alone") {
  const double lambda = 1e9;
  for (const double X : {0.3, 0.5, 0.9, 1.3}) {
    CAPTURE(X);
    const double ratio = std::cyl_bessel_i(0, X) / std::cyl_bessel_i(1, X);
    const double alone = (1 - X * X) / (X * X * ratio * ratio - 1 - X * X);
    CHECK(ripple_growth(lambda, X) * lambda == Approx(alone).epsilon(1e-5));
  }
}

TEST_CASE("thread: ripples shorter than the circumference die, the neutral one stands still") {
  for (const double lambda : {1e-3, 1.0, 1e3}) {
    CHECK(ripple_growth(lambda, 0.9) > 0);
    CHECK(ripple_growth(lambda, 1) == Approx(0));
    CHECK(ripple_growth(lambda, 1.1) < 0);
  }
}

TEST_CASE("thread: the table keeps within 1e-4 of the search, and stays finite beyond its ends") {
  for (double lambda = 1.3e-6; lambda < 1e6; lambda *= 1.7) {
    CAPTURE(lambda);
    const ThreadBreakup exact = fastest_ripple(lambda), tabled = thread_breakup(lambda);
    CHECK(tabled.wave_number == Approx(exact.wave_number).epsilon(1e-4));
    CHECK(tabled.growth == Approx(exact.growth).epsilon(1e-4));
  }
  CHECK(thread_breakup(0).growth == Approx(thread_breakup(1e-6).growth));
  CHECK(thread_breakup(1e300).growth == Approx(thread_breakup(1e6).growth));
}

// Janssen & Meijer (1993), J. Rheol. 37, 597 (abstract): threads of higher viscosity ratio break later, so finer.
TEST_CASE("thread: the more viscous, the slower its ripples") {
  double before = 2;
  for (double lambda = 1e-4; lambda < 1e4; lambda *= 2) {
    const double growth = thread_breakup(lambda).growth;
    CHECK(growth < before);
    before = growth;
  }
}

TEST_CASE("thermal ripple: less than a nanometre on a thread of molten polymer") {
  CHECK(thermal_ripple(473.15, 5e-3) == Approx(0.785e-9).epsilon(2e-3));
}

TEST_CASE("merging: hand-worked probability; small slow drops merge, large ones do not") {
  CHECK(merging_probability(1, 0.05, 1e-6 / 5e-9) == Approx(0.379749).epsilon(2e-6));
  CHECK(merging_probability(1, 0, 200) == 1);
  CHECK(merging_probability(1, 0.5, 2000) < 1e-100);
}
