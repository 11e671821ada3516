#include "structure/peroxide.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

#include "structure/chain_distribution.hpp"

using doctest::Approx;
using namespace quern;  // NOLINT(google-build-using-namespace): one test, one namespace

TEST_CASE("peroxide: half-lives between 160 and 240 degC") {  // Suwanda, Lew & Balke (1988): 1.98e12 exp(-14947 K/T)
  struct Row {
    double celsius, seconds, last_digit;
  };
  for (const Row& row :
       {Row{160, 339.4, 0.1}, {180, 73.998, 1e-3}, {200, 18.353, 1e-3}, {220, 5.097, 1e-3}, {240, 1.564, 1e-3}}) {
    CAPTURE(row.celsius);
    CHECK(std::fabs(half_life(peroxide({}), 273.15 + row.celsius) - row.seconds) < 0.6 * row.last_digit);
  }
}

TEST_CASE("peroxide: 89.63 % decays in a minute at 200 degC") {
  CHECK(std::fabs(decayed(peroxide({}), 473.15, 60) - 0.8963) < 0.6e-4);
  CHECK(decayed(peroxide({}), 473.15, 0) == 0);
  CHECK(decayed(peroxide({}), 473.15, half_life(peroxide({}), 473.15)) == Approx(0.5).epsilon(1e-12));
}

TEST_CASE("peroxide: 0.1 % takes polypropylene from 60 000 to 49 095 g/mol in a minute at 200 degC") {
  const Peroxide p = peroxide({});
  const double amount = 3.442e-3;  // mol/kg, 0.1 % of 290.45 g/mol as the figure has it; unrounded Mn is 49 092.6
  const double broken_bonds = scissions(p, amount * decayed(p, 473.15, 60));
  CHECK(std::fabs(broken_bonds * 60 - 0.2221) < 0.6e-4);
  CHECK(std::fabs(1000 * after_random_scission(schulz_chains({}, 60), broken_bonds).Mn - 49095) < 0.6);
}

TEST_CASE("peroxide: the defaults of the struct are those of the list") {
  const Peroxide listed = peroxide({}), plain;
  CHECK(listed.rate == plain.rate);
  CHECK(listed.activation == Approx(plain.activation).epsilon(1e-6));
  CHECK(listed.efficiency == plain.efficiency);
  Coefficients fixed;
  fixed.fix("peroxide_efficiency", 0.8);
  CHECK(peroxide(fixed).efficiency == 0.8);
}

TEST_CASE("heat: a chain of 100 kg/mol breaks at the listed rate at 200 degC, faster when hotter, slower without air") {
  const HeatScission h = heat_scission({});
  CHECK(100 * scission_rate(h, 473.15) == Approx(3e-4 + 1e-6).epsilon(1e-12));
  CHECK(scission_rate(h, 503.15) > 2 * scission_rate(h, 473.15));
  HeatScission nitrogen = h;
  nitrogen.oxidative_rate = 0;
  CHECK(scission_rate(nitrogen, 473.15) < 0.01 * scission_rate(h, 473.15));
  CHECK(scission_rate(h, 300) < 1e-6 * scission_rate(h, 473.15));
}

TEST_CASE("heat: only what a source gives counts as calibrated") {
  for (const Coefficient& c : heat_scission_coefficients()) {
    CHECK_FALSE(c.calibrated);
    CHECK(c.basis.starts_with("uncalibrated"));
  }
  for (const Coefficient& c : peroxide_coefficients()) CHECK(c.calibrated);
}
