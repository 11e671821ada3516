// Chain scission along a screw of 40 stations: averages alone against classes of molar mass in the same run.
#include <benchmark/benchmark.h>
#include <chrono>
#include <cmath>

#include "structure/chain_scission.hpp"

namespace {

quern::History screw() {
  quern::Exposure e;
  e.time = 2, e.energy = 3e4, e.temperature = 473, e.shear_rate = 100, e.viscosity = 1000;
  e.tip_rate = 2000, e.tip_viscosity = 150, e.tip_time = 2e-3, e.tip_passes = 5, e.melt_fraction = 0.8;
  return quern::History(40, e);
}

double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

void bm_chains(benchmark::State& state) {
  const quern::History history = screw();
  const quern::ScissionConstants constants = quern::scission_constants({});
  const quern::ChainState inlet{quern::log_normal_chains({}, 50, 5), 3e-3};
  const quern::ChainAverageState mean{quern::averages(inlet.chains), inlet.peroxide};
  double classes = 0, averages = 0;
  constexpr int parcels = 1000;
  for (auto _ : state) {
    const double start = now();
    const auto track = quern::advance(inlet, history, constants);
    const double middle = now();
    for (int i = 0; i < parcels; ++i) benchmark::DoNotOptimize(quern::advance(mean, history, constants));
    classes += middle - start, averages += (now() - middle) / parcels;
    const double exact = quern::averages(track.back().chains).Mw;
    if (std::fabs(quern::advance(mean, history, constants).back().chains.Mw / exact - 1) > 0.1)
      state.SkipWithError("averages and classes differ");
  }
  const double stations = static_cast<double>(state.iterations()) * static_cast<double>(history.size());
  state.counters["classes_over_averages"] = classes / averages;
  state.counters["ns_per_station"] = 1e9 * averages / stations;
  state.counters["us_per_station_classes"] = 1e6 * classes / stations;
}
BENCHMARK(bm_chains)->Unit(benchmark::kMillisecond);

}  // namespace
