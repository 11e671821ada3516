// Parcels through a screw of 40 elements: each draw against drawing the same number of uniform numbers in the same run.
#include "machine/parcels.hpp"

#include <benchmark/benchmark.h>
#include <chrono>
#include <random>
#include <vector>

namespace {

constexpr std::size_t count = 10000;

/// Forty elements: granules packed and loose, melt partly and quite full.
std::vector<quern::Station> stations() {
  std::vector<quern::Station> all(40);
  for (std::size_t i = 0; i < all.size(); ++i) {
    quern::Station& s = all[i];
    s.mean.time = 2, s.mean.energy = 2e4, s.mean.tip_passes = i < 15 ? 20 : 0.1, s.tip_share = i < 15 ? 1 : 0.35;
    s.mixing = {{1.5, 0.4, 0.3}};
    if (i % 4 == 0) s.mixing.push_back({0.5, 3, 0});
    else s.mixing.front().mean = 2;
  }
  return all;
}

void bm_parcels(benchmark::State& state) {
  const std::vector<quern::Station> line = stations();
  std::mt19937_64 random(1);
  std::uniform_real_distribution<double> uniform;
  double draws = 0, base = 0;
  const auto now = [] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
  };
  for (auto _ : state) {
    const double start = now();
    benchmark::DoNotOptimize(quern::sample_parcels(line, count, 1));
    const double middle = now();
    double sum = 0;
    for (std::size_t i = 0; i < count * line.size(); ++i) sum += uniform(random);
    benchmark::DoNotOptimize(sum);
    draws += middle - start, base += now() - middle;
  }
  state.counters["x_uniform"] = draws / base;
  state.counters["ns_per_station"] =
      1e9 * draws / static_cast<double>(state.iterations()) / static_cast<double>(count * line.size());
}
BENCHMARK(bm_parcels)->Unit(benchmark::kMillisecond);

}  // namespace
