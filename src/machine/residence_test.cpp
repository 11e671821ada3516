#include "machine/residence.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

double moment(const Residence& r, double about, int power) {
  double sum = 0;
  for (std::size_t i = 1; i < r.time.size(); ++i) {
    const auto f = [&](std::size_t k) { return std::pow(r.time[k] - about, power) * r.density[k]; };
    sum += 0.5 * (f(i) + f(i - 1)) * (r.time[i] - r.time[i - 1]);
  }
  return sum;
}
double density_at(const Residence& r, double t) {
  const auto at = std::lower_bound(r.time.begin(), r.time.end(), t) - r.time.begin();
  const auto i = static_cast<std::size_t>(at);
  const double f = (t - r.time[i - 1]) / (r.time[i] - r.time[i - 1]);
  return r.density[i - 1] + f * (r.density[i] - r.density[i - 1]);
}

}  // namespace

TEST_CASE(
    "residence: n tanks follow N (N th)^(N-1) e^(-N th)/Gamma(N), Levenspiel, Chemical Reaction Engineering, ch. 14") {
  for (const double n : {5.0, 10.0}) {
    const MixedLength one[] = {{100.0, n}};
    const Residence r = residence_distribution(one);
    for (const double theta : {0.5, 1.0, 1.5, 2.0}) {
      CAPTURE(n);
      CAPTURE(theta);
      const double exact = n * std::pow(n * theta, n - 1) * std::exp(-n * theta) / std::tgamma(n);
      CHECK(density_at(r, 100 * theta) * 100 == Approx(exact).epsilon(2e-3));
    }
  }
}
TEST_CASE(
    "residence: five tanks have F = 0.108822, 0.559507, 0.970747 at 0.5, 1 and 2 mean times") {  // closed form, incomplete gamma
  const MixedLength one[] = {{60.0, 5}};
  const Residence r = residence_distribution(one);
  CHECK(time_at(r, 0.108822) == Approx(30).epsilon(2e-3));
  CHECK(time_at(r, 0.559507) == Approx(60).epsilon(2e-3));
  CHECK(time_at(r, 0.970747) == Approx(120).epsilon(2e-3));
}
TEST_CASE("residence: means and variances of lengths in series add") {  // independent parts
  const MixedLength lengths[] = {{20, 1.5, 0.3}, {5, 8, 0.3}, {40, 0.7, 0.3}, {0.5, 0.2, 0.3}};
  const Residence r = residence_distribution(lengths);
  double mean = 0, variance = 0;
  for (const MixedLength& l : lengths) mean += l.mean, variance += std::pow(0.7 * l.mean, 2) / l.tanks;
  CHECK(moment(r, 0, 0) == Approx(1).epsilon(2e-3));
  CHECK(moment(r, 0, 1) == Approx(mean).epsilon(5e-3));
  CHECK(moment(r, mean, 2) == Approx(variance).epsilon(2e-2));
}
TEST_CASE("residence: nothing leaves before the plug share of the time has passed") {
  const MixedLength lengths[] = {{50, 2, 0.4}, {50, 3, 0.4}};
  const Residence r = residence_distribution(lengths);
  CHECK(time_at(r, 0.001) > 40);
  CHECK(r.cumulative.front() == Approx(0).epsilon(1e-9));
  CHECK(r.cumulative.back() == Approx(1));
}
