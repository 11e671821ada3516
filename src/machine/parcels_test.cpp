#include "machine/parcels.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>

#include "machine/solve.hpp"
#include "machine/trial_example.hpp"

using doctest::Approx;
using namespace quern;

namespace {

LineState line_example() { return solve(trial_example(), false).value(); }

double mean(const std::vector<double>& x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}

double error_of_mean(const std::vector<double>& x) {
  const double m = mean(x);
  double sum = 0;
  for (const double v : x) sum += (v - m) * (v - m);
  return std::sqrt(sum) / static_cast<double>(x.size());
}

/// Largest distance between the parcels' distribution of times and the line's F(t).
double kolmogorov_distance(std::vector<double> times, const Residence& r) {
  std::sort(times.begin(), times.end());
  double most = 0;
  for (std::size_t i = 0; i < r.time.size(); ++i) {
    const auto below = std::upper_bound(times.begin(), times.end(), r.time[i]) - times.begin();
    most = std::max(most, std::abs(static_cast<double>(below) / static_cast<double>(times.size()) - r.cumulative[i]));
  }
  return most;
}

}  // namespace

TEST_CASE("stations: their mean times and energies add up to the line's") {
  const LineState line = line_example();
  double time = 0, energy = 0, mixed = 0;
  for (const Station& s : line.stations) {
    time += s.mean.time, energy += s.mean.energy;
    for (const MixedLength& l : s.mixing) mixed += l.mean;
    CHECK(s.tip_share >= 0);
    CHECK(s.tip_share <= 1);
  }
  CHECK(line.stations.size() == line.elements.size());
  CHECK(time == Approx(line.summary.mean_residence_time).epsilon(1e-9));
  CHECK(energy == Approx(line.summary.specific_energy).epsilon(1e-9));
  CHECK(mixed == Approx(time).epsilon(1e-9));
}

TEST_CASE("parcels: mean time and energy are the line's within four standard errors") {
  const LineState line = line_example();
  const Parcels parcels = sample_parcels(line.stations, 20000, 1);
  const double time = mean(parcels.total_time), energy = mean(parcels.total_energy);
  CHECK(std::abs(time - line.summary.mean_residence_time) < 4 * error_of_mean(parcels.total_time));
  CHECK(std::abs(energy - line.summary.specific_energy) < 4 * error_of_mean(parcels.total_energy));
  CHECK(error_of_mean(parcels.total_energy) < 0.03 * energy);
}

TEST_CASE(
    "parcels: their times have the line's distribution") {  // Kolmogorov: 1.95/sqrt(n) is passed once in a thousand
  const LineState line = line_example();
  constexpr std::size_t n = 20000;
  const Parcels parcels = sample_parcels(line.stations, n, 2);
  CHECK(kolmogorov_distance(parcels.total_time, line.residence) < 1.95 / std::sqrt(n) + 2e-3);
}

TEST_CASE("parcels: the same seed gives the same parcels, another seed others") {
  const LineState line = line_example();
  const Parcels a = sample_parcels(line.stations, 100, 7), b = sample_parcels(line.stations, 100, 7),
                c = sample_parcels(line.stations, 100, 8);
  CHECK(a.total_energy == b.total_energy);
  CHECK(a.passes == b.passes);
  CHECK(a.total_time != c.total_time);
}

TEST_CASE("parcels: a history adds up to its parcel's totals, and passes come in whole numbers") {
  const LineState line = line_example();
  const Parcels parcels = sample_parcels(line.stations, 10, 3);
  for (std::size_t i = 0; i < 10; ++i) {
    double time = 0, energy = 0;
    for (const Exposure& e : history_of(line.stations, parcels, i)) {
      time += e.time, energy += e.energy;
      CHECK(e.tip_passes == std::floor(e.tip_passes));
    }
    CHECK(time == Approx(parcels.total_time[i]).epsilon(1e-5));
    CHECK(energy == Approx(parcels.total_energy[i]).epsilon(1e-5));
  }
}

TEST_CASE("parcels: a station without time or passes changes nothing") {
  const Station none{};
  const Parcels parcels = sample_parcels(std::span(&none, 1), 5, 1);
  CHECK(mean(parcels.total_time) == 0);
  CHECK(mean(parcels.total_energy) == 0);
}

TEST_CASE("parcels: mean passes of a station are the station's") {
  Station s;
  s.mean.time = 2, s.mean.energy = 10, s.mean.tip_passes = 0.3;
  s.mixing = {{2, 3, 0.2}};
  s.tip_share = 0.5;
  for (const auto& [passes, repeat] : {std::pair{0.3, 1.0}, {5.0, 1.0}, {80.0, 1.0}, {0.4, 6.0}, {300.0, 3.0}}) {
    s.mean.tip_passes = passes, s.tip_repeat = repeat;
    const Parcels parcels = sample_parcels(std::span(&s, 1), 20000, 4);
    double sum = 0;
    for (const auto p : parcels.passes) sum += p;
    const double n = 20000, spread = std::sqrt(passes * (2 * repeat - 1) +
                                               passes * passes * 0.64 / 3);  // of entries, runs and times
    CHECK(std::abs(sum / n - passes) < 4 * spread / std::sqrt(n));
    CHECK(std::abs(mean(parcels.total_energy) - 10) < 4 * error_of_mean(parcels.total_energy));
  }
}
