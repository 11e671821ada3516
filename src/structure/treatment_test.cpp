#include "structure/treatment.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <numeric>
#include <random>

#include "base/error.hpp"

using doctest::Approx;
using doctest::Contains;
using namespace quern;

namespace {

using V = std::vector<double>;

double sum(const V& x) { return std::accumulate(x.begin(), x.end(), 0.0); }

/// Log-normal pair: ln t and ln e of spreads a and b, correlated by r, about medians 60 s and 600 kJ/kg.
struct Pair {
  V time{}, energy{};
  Pair(std::size_t n, double a, double b, double r) {
    std::mt19937_64 random(7);
    std::normal_distribution<double> z;
    for (std::size_t i = 0; i < n; ++i) {
      const double u = z(random), v = r * u + std::sqrt(1 - r * r) * z(random);
      time.push_back(60 * std::exp(a * u)), energy.push_back(600e3 * std::exp(b * v));
    }
  }
};

}  // namespace

TEST_CASE("statistics: evenly spaced values are a uniform law, percentiles exact") {
  V x;
  for (int i = 0; i < 1000; ++i) x.push_back((i + 0.5) / 1000);
  const Statistics s = statistics(x);
  CHECK(s.mean == Approx(0.5).epsilon(1e-13));
  CHECK(s.p5 == Approx(0.05).epsilon(1e-12));
  CHECK(s.p50 == Approx(0.5).epsilon(1e-12));
  CHECK(s.p95 == Approx(0.95).epsilon(1e-12));
  CHECK(s.standard_deviation == Approx(std::sqrt((1 - 1e-6) / 12)).epsilon(1e-12));  // (n² - 1)/12 of ranks
}

TEST_CASE("statistics: 2, 4, 4, 4, 5, 5, 7, 9 have mean 5, deviation 2 and error 2/√7") {  // a textbook's
  const Statistics s = statistics(V{2, 4, 4, 4, 5, 5, 7, 9});
  CHECK(s.mean == 5);
  CHECK(s.standard_deviation == Approx(2));
  CHECK(s.standard_error.value() == Approx(2 / std::sqrt(7.0)));
}

TEST_CASE("treatment: a log-normal pair has its closed moments, percentiles and correlation within sampling error") {
  const double a = 0.35, b = 0.6, r = 0.7;
  const Pair pair(200000, a, b, r);
  const EnsembleTreatment t = ensemble_treatment({pair.time, pair.energy});
  const double mean_t = 60 * std::exp(a * a / 2), mean_e = 600e3 * std::exp(b * b / 2);
  CHECK(std::abs(t.time.mean - mean_t) < 4 * t.time.standard_error.value());
  CHECK(std::abs(t.energy.mean - mean_e) < 4 * t.energy.standard_error.value());
  CHECK(t.time.standard_deviation == Approx(mean_t * std::sqrt(std::expm1(a * a))).epsilon(0.01));
  CHECK(t.energy.standard_deviation == Approx(mean_e * std::sqrt(std::expm1(b * b))).epsilon(0.02));
  CHECK(t.energy.p5 == Approx(600e3 * std::exp(-1.6448536 * b)).epsilon(0.01));
  CHECK(t.energy.p50 == Approx(600e3).epsilon(0.01));
  CHECK(t.energy.p95 == Approx(600e3 * std::exp(1.6448536 * b)).epsilon(0.01));
  CHECK(t.correlation.value() ==
        Approx(std::expm1(a * b * r) / std::sqrt(std::expm1(a * a) * std::expm1(b * b))).epsilon(0.01));
  const double below = 0.5 * std::erfc(-(b * b / 2 - std::log(2.0)) / b / std::sqrt(2.0));
  CHECK(std::abs(t.undertreated - below) < 4 * t.undertreated_error);
}

TEST_CASE("treatment: the standard error of the mean is what means of many ensembles scatter by") {
  std::mt19937_64 random(3);
  std::exponential_distribution<double> law(1);
  V means;
  double error = 0;
  for (int k = 0; k < 2000; ++k) {
    V x(50);
    for (double& value : x) value = law(random);
    const Statistics s = statistics(x);
    means.push_back(s.mean), error += s.standard_error.value() / 2000;
  }
  CHECK(statistics(means).standard_deviation == Approx(error).epsilon(0.06));
  CHECK(error == Approx(1 / std::sqrt(50.0)).epsilon(0.04));
}

TEST_CASE("treatment: parcels all alike give just their value and no spread") {
  const V time(7, 0.1), energy(7, 1.0 / 3), mass{1, 2, 3, 0.1, 0.7, 5, 1e-3};
  const EnsembleTreatment t = ensemble_treatment({time, energy, mass});
  CHECK(t.time.mean == 0.1);
  CHECK(t.energy.mean == 1.0 / 3);
  CHECK(t.time.p5 == 0.1);
  CHECK(t.time.p95 == 0.1);
  CHECK(t.energy.standard_deviation == 0);
  CHECK(t.energy.standard_error.value() == 0);
  CHECK_FALSE(t.correlation.has_value());
  CHECK(t.undertreated == 0);
}

TEST_CASE("treatment: a single parcel is its own mean, with an error nobody knows") {
  const V one{5.0};
  const EnsembleTreatment t = ensemble_treatment({one, one});
  CHECK(t.time.mean == 5);
  CHECK(t.time.p50 == 5);
  CHECK_FALSE(t.time.standard_error.has_value());
  CHECK_FALSE(statistics(V{1, 2}, V{0, 3}).standard_error.has_value());
}

TEST_CASE("treatment: a parcel of mass 3 is worth three parcels, and one of no mass nothing") {
  const V x{10, 40, 1e6}, e{5, 1, 9e9}, m{1, 3, 0}, X{10, 40, 40, 40}, E{5, 1, 1, 1};
  const EnsembleTreatment weighted = ensemble_treatment({x, e, m}), counted = ensemble_treatment({X, E});
  CHECK(weighted.time.mean == Approx(counted.time.mean).epsilon(1e-14));
  CHECK(weighted.time.standard_deviation == Approx(counted.time.standard_deviation).epsilon(1e-13));
  CHECK(weighted.correlation.value() == Approx(-1).epsilon(1e-14));
  CHECK(weighted.undertreated == 0);
  CHECK(share_below(x, 20, m) == Approx(0.25).epsilon(1e-15));
  CHECK(statistics(x, V{1e149, 3e149, 0}).mean == Approx(32.5).epsilon(1e-14));
}

TEST_CASE("treatment: energy in proportion to time correlates by 1") {
  V time, energy;
  for (int i = 1; i < 50; ++i) time.push_back(i), energy.push_back(7.0 * i);
  CHECK(ensemble_treatment({time, energy}).correlation.value() == Approx(1).epsilon(1e-14));
  CHECK(ensemble_treatment({time, energy}).undertreated == Approx(12 / 49.0));  // 1 to 12 are below half of 25
}

TEST_CASE("cloud: shares add up to 1 and stand where the parcels are") {
  const V time{10, 10, 1000}, energy{1, 100, 100}, mass{2, 1, 1};
  const TreatmentCloud c = treatment_cloud({time, energy, mass}, 4);
  REQUIRE(c.share.size() == 16);
  REQUIRE(c.time_edges.size() == 5);
  CHECK(c.time_edges.front() == Approx(10));
  CHECK(c.time_edges[2] == Approx(100));
  CHECK(c.time_edges.back() == Approx(1000));
  CHECK(c.share[0] == Approx(0.5));
  CHECK(c.share[3] == Approx(0.25));
  CHECK(c.share[15] == Approx(0.25));
  CHECK(sum(c.share) == Approx(1).epsilon(1e-15));
}

TEST_CASE("cloud: the sums over rows are the histogram of time, for a log-uniform law even") {
  V time, energy(4000, 5);
  for (int i = 0; i < 4000; ++i) time.push_back(std::exp((i + 0.5) / 4000));
  const TreatmentCloud c = treatment_cloud({time, energy}, 8);
  for (std::size_t row = 0; row < 8; ++row) {
    double inside = 0;
    for (std::size_t column = 0; column < 8; ++column) inside += c.share[row * 8 + column];
    CHECK(inside == Approx(1 / 8.0).epsilon(0.005));
  }
}

TEST_CASE("cloud: alike parcels, no energy at all and a silly number of cells are no trouble") {
  const V time(3, 20.0), none{0, -1, 0};
  for (const int cells : {-5, 0, 1, 12}) CHECK(sum(treatment_cloud({time, none}, cells).share) == Approx(1));
  const TreatmentCloud c = treatment_cloud({time, none}, 3);
  CHECK(c.time_edges.front() < 20);
  CHECK(c.time_edges.back() > 20);
}

TEST_CASE("treatment: what cannot be used is refused by name") {
  const V one{1.0}, two{1, 2}, bad{1, std::numeric_limits<double>::quiet_NaN()}, huge{1, 1e200};
  CHECK_THROWS_WITH_AS(ensemble_treatment({V{}, V{}}), Contains("parcels"), InputError);
  CHECK_THROWS_WITH_AS(ensemble_treatment({two, one}), Contains("energy"), InputError);
  CHECK_THROWS_WITH_AS(ensemble_treatment({two, two, one}), Contains("mass"), InputError);
  CHECK_THROWS_WITH_AS(ensemble_treatment({two, bad}), Contains("energy[1]"), InputError);
  CHECK_THROWS_WITH_AS(statistics(huge), Contains("values[1]"), InputError);
  CHECK_THROWS_WITH_AS(statistics(two, V{1, -1}), Contains("negative"), InputError);
  CHECK_THROWS_WITH_AS(statistics(two, V{0, 0}), Contains("all are 0"), InputError);
}
