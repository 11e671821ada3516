#include "structure/chain_distribution.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <numeric>

#include "base/error.hpp"

using doctest::Approx;
using doctest::Contains;
using namespace quern;  // NOLINT(google-build-using-namespace): one test, one namespace

namespace {

double total(const ChainDistribution& d) { return std::accumulate(d.mass.begin(), d.mass.end(), 0.0); }

}  // namespace

TEST_CASE("chain distribution: a log-normal has Mw = D Mn and Mz = D² Mn") {
  for (const double D : {1.05, 1.5, 2.0, 4.0}) {
    CAPTURE(D);
    const ChainDistribution d = log_normal_chains({}, 50, D);
    const ChainAverages a = averages(d);
    CHECK(total(d) == Approx(1).epsilon(1e-14));
    CHECK(a.Mn == Approx(50).epsilon(1e-6));
    CHECK(a.Mw == Approx(50 * D).epsilon(1e-5));
    CHECK(a.Mz == Approx(50 * D * D).epsilon(2e-4));
  }
}

TEST_CASE("chain distribution: Mn, Mw and Mz of a Schulz distribution are equally spaced") {  // Zimm (1948)
  for (const double D : {1.05, 1.5, 2.0, 4.0}) {
    CAPTURE(D);
    const ChainDistribution d = schulz_chains({}, 50, D);
    const ChainAverages a = averages(d);
    CHECK(total(d) == Approx(1).epsilon(1e-14));
    CHECK(a.Mn == Approx(50).epsilon(1e-9));
    CHECK(a.dispersity() == Approx(D).epsilon(1e-4));
    CHECK(a.Mz == Approx(2 * a.Mw - a.Mn).epsilon(1e-4));
  }
}

TEST_CASE("chain distribution: the most probable has Mn : Mw : Mz = 1 : 2 : 3") {  // Flory (1936)
  const ChainAverages a = averages(schulz_chains({}, 50));
  CHECK(a.Mw / a.Mn == Approx(2).epsilon(1e-5));
  CHECK(a.Mz / a.Mn == Approx(3).epsilon(1e-5));
}

TEST_CASE("chain distribution: equal chains have one molar mass, the one that was asked for") {
  for (const double M : {0.3, 47.3, 2900.0})
    for (const ChainDistribution& d : {equal_chains({}, M), log_normal_chains({}, M, 1), schulz_chains({}, M, 1.001)}) {
      const ChainAverages a = averages(d);
      CHECK(total(d) == 1);
      CHECK(a.Mn == Approx(M).epsilon(1e-12));
      CHECK(a.dispersity() == Approx(1).epsilon(1e-12));
      CHECK(a.Mz == Approx(M).epsilon(1e-12));
    }
}

TEST_CASE("random scission: equal chains follow the table of closed forms") {
  // Mn/Mn0 = 1/(1 + s), Mw/Mw0 = 2 (exp(-s) - 1 + s)/s², Mz from the density of Ziff & McGrady (1985)
  struct Row {
    double s, Mn, Mw, dispersity, Mz;
  };
  const ChainDistribution d = equal_chains({}, 100);
  for (const Row& row : {Row{0.1, 0.909091, 0.967484, 1.064232, 0},
                         {0.5, 0.666667, 0.852245, 1.278368, 0.919547},
                         {1, 0.500000, 0.735759, 1.471518, 0.845155},
                         {2, 0.333333, 0.567668, 1.703003, 0.715218},
                         {5, 0.166667, 0.320539, 1.923234, 0},
                         {10, 0.090909, 0.180001, 1.980010, 0}}) {
    CAPTURE(row.s);
    const ChainAverages a = after_random_scission(d, row.s / 100);
    CHECK(std::fabs(a.Mn / 100 - row.Mn) < 0.6e-6);
    CHECK(std::fabs(a.Mw / 100 - row.Mw) < 0.6e-6);
    CHECK(std::fabs(a.dispersity() - row.dispersity) < 0.6e-6);
    if (row.Mz > 0) CHECK(std::fabs(a.Mz / 100 - row.Mz) < 0.6e-6);
  }
}

TEST_CASE("random scission: averages are the moments of the density of Ziff & McGrady (1985), which keeps mass") {
  // c(x) = exp(-s x) [δ(x-1) + 2 s + s² (1-x)], x = M/M0; moments by Simpson's rule
  for (const double s : {0.3, 1.0, 4.0}) {
    const auto moment = [s](int k) {
      const int n = 2000;
      double sum = 0;
      for (int i = 0; i <= n; ++i) {
        const double x = static_cast<double>(i) / n, weight = i == 0 || i == n ? 1 : (i % 2 ? 4 : 2);
        sum += weight * std::pow(x, k) * std::exp(-s * x) * (2 * s + s * s * (1 - x));
      }
      return std::exp(-s) + sum / (3 * n);
    };
    const ChainAverages a = after_random_scission(equal_chains({}, 100), s / 100);
    CHECK(moment(1) == Approx(1).epsilon(1e-12));
    CHECK(a.Mn == Approx(100 / moment(0)).epsilon(1e-12));
    CHECK(a.Mw == Approx(100 * moment(2)).epsilon(1e-12));
    CHECK(a.Mz == Approx(100 * moment(3) / moment(2)).epsilon(1e-12));
  }
}

TEST_CASE("random scission: the most probable distribution stays most probable") {
  for (const double c : {1e-4, 0.01, 0.1}) {  // mol/kg, up to five a chain
    const ChainAverages a = after_random_scission(schulz_chains({}, 50), c);
    CHECK(a.dispersity() == Approx(2).epsilon(1e-4));
    CHECK(a.Mz / a.Mn == Approx(3).epsilon(1e-4));
  }
}

TEST_CASE("random scission: one bond in ten thousand takes polypropylene from 50 000 to 44 689.9 g/mol") {
  CHECK(1000 * after_random_scission(schulz_chains({}, 50), 1e-4 / 0.04208).Mn == Approx(44689.9).epsilon(2e-6));
}

TEST_CASE("random scission: the series and the closed form meet") {
  const ChainDistribution d = equal_chains({}, 100);
  const ChainAverages below = after_random_scission(d, 0.01 * (1 - 1e-12)),
                      above = after_random_scission(d, 0.01 * (1 + 1e-12));
  CHECK(below.Mw == Approx(above.Mw).epsilon(1e-11));
  CHECK(below.Mz == Approx(above.Mz).epsilon(1e-11));
  CHECK(after_random_scission(d, 1e-15).Mw == Approx(100).epsilon(1e-12));
}

TEST_CASE("molar mass towards a limit: 300 to 100 kg/mol at 0.5 per kJ/g") {
  const double k = 0.5e-6;  // kg/J
  CHECK(std::fabs(mass_towards_limit(300, 100, k, 1e6) - 221.306) < 0.6e-3);
  CHECK(std::fabs(mass_towards_limit(300, 100, k, 2e6) - 173.576) < 0.6e-3);
  CHECK(std::fabs(mass_towards_limit(300, 100, k, 5e6) - 116.417) < 0.6e-3);
}

TEST_CASE("viscosity factor: power 3.4 above the critical molar mass, 1 below, no jump") {
  struct Row {
    double ratio, factor;
  };
  for (const Row& row : {Row{0.95, 0.839963}, {0.9, 0.698915}, {0.8, 0.468280}, {0.7, 0.297395}, {0.5, 0.094732}}) {
    CHECK(std::fabs(viscosity_factor(300 * row.ratio, 300, 14) - row.factor) < 0.6e-6);
    CHECK(flow_rate_factor(300 * row.ratio, 300, 14) == Approx(1 / row.factor).epsilon(1e-5));
  }
  CHECK(viscosity_factor(5, 10, 14) == Approx(0.5));
  CHECK(viscosity_factor(14 * (1 - 1e-9), 14 * (1 + 1e-9), 14) == Approx(1).epsilon(1e-7));
  CHECK(viscosity_factor(123, 123, 14) == 1);
}

TEST_CASE("chain distribution: what is no distribution is refused by name") {
  CHECK_THROWS_WITH_AS(log_normal_chains({}, 50, 0.9), Contains("chains.dispersity"), InputError);
  CHECK_THROWS_WITH_AS(schulz_chains({}, 50, std::nan("")), Contains("chains.dispersity"), InputError);
  CHECK_THROWS_WITH_AS(schulz_chains({}, 0.05, 2), Contains("chains.Mn"), InputError);
  CHECK_THROWS_WITH_AS(equal_chains({}, 1e6), Contains("chains.Mn"), InputError);
  CHECK_THROWS_WITH_AS(equal_chains({0, 1e5, 20}, 50), Contains("chains.repeat"), InputError);
  CHECK_THROWS_WITH_AS(equal_chains({0.042, 1, 20}, 0.5), Contains("chains.highest"), InputError);
  CHECK_THROWS_WITH_AS(equal_chains({0.042, 1e5, 0}, 50), Contains("chains.per_decade"), InputError);
}
