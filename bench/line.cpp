// The line model against the same algorithm in plain Python (bench/reference/line.py), measured in the same run.
#include <array>
#include <atomic>
#include <benchmark/benchmark.h>
#include <chrono>
#include <map>
#include <thread>

#include "base/pack.hpp"
#include "io/read_trial.hpp"
#include "line_reference.hpp"

namespace {

using namespace quern;
using namespace quern::bench;

std::string project(const std::string& name) { return std::string(QUERN_SOURCE_DIR) + "/examples/" + name + ".toml"; }

Trial example(const std::string& name, int cells = 600) {
  Trial trial = read_trial(project(name));
  trial.numerics.cells = cells;
  trial.numerics.tolerance = 1e-8;
  return trial;
}

Point point_of(const Trial& trial) { return {throughput(trial), trial.screw_speed}; }

/// Time from its start.
class Watch {
 public:
  double seconds() const { return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count(); }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

// ---- one solve ---------------------------------------------------------------------------------------------------

double python_for(const std::string& name) {
  static std::map<std::string, double> known;
  if (const auto found = known.find(name); found != known.end()) return found->second;
  const Trial trial = example(name);
  const Point point = point_of(trial);
  return known[name] = python_seconds(march_line(trial, Stock(trial)), {&point, 1});
}

void bm_line_solve(benchmark::State& state, const std::string& name) {
  const double python = python_for(name);
  const Trial trial = example(name);
  const MarchLine line = march_line(trial, Stock(trial));
  double passes = 0;
  const Watch watch;
  for (auto _ : state) passes = march(line, point_of(trial)).iterations;
  const double each = watch.seconds() / static_cast<double>(state.iterations());
  state.counters["passes"] = passes;
  state.counters["ns_cell_pass"] = 1e9 * each / passes / static_cast<double>(line.cells.size());
  state.counters["x_python"] = python / each;
}
BENCHMARK_CAPTURE(bm_line_solve, combined, std::string("combined"))->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(bm_line_solve, melt, std::string("melt"))->Unit(benchmark::kMicrosecond);

/// Checks, set-up, march and figures; all that a user waits for but the spread.
void bm_line_state(benchmark::State& state) {
  const double python = python_for("combined");
  const Trial trial = example("combined");
  const Watch watch;
  for (auto _ : state) benchmark::DoNotOptimize(solve(trial, false));
  state.counters["x_python"] = python * static_cast<double>(state.iterations()) / watch.seconds();
}
BENCHMARK(bm_line_state)->Unit(benchmark::kMicrosecond);

void bm_line_prepare(benchmark::State& state) {
  const Trial trial = example("combined");
  for (auto _ : state) benchmark::DoNotOptimize(march_line(trial, Stock(trial)));
}
BENCHMARK(bm_line_prepare)->Unit(benchmark::kMicrosecond);

void bm_heat_table(benchmark::State& state) {
  const Stock stock(example("combined"));
  for (auto _ : state) benchmark::DoNotOptimize(heat_table(stock));
}
BENCHMARK(bm_heat_table)->Unit(benchmark::kMicrosecond);

// ---- maps --------------------------------------------------------------------------------------------------------

/// 32 throughputs times 32 speeds around the trial's own; neighbours share a pack.
std::vector<Point> map_points(const Trial& trial) {
  std::vector<Point> points;
  for (int i = 0; i < 1024; ++i)
    points.push_back(
        {throughput(trial) * (0.7 + 0.6 * (i % 32) / 31), trial.screw_speed * (0.8 + 0.4 * (i / 32) / 31)});
  return points;
}

void check_same(const Solved<Summary>& a, const Solved<Summary>& b, std::size_t i, const char* what) {
  const auto figures = [](const Summary& s) {
    return std::array{s.shaft_power, s.outlet_temperature, s.mean_residence_time, s.die_pressure, s.mean_fill};
  };
  if (a.has_value() != b.has_value()) give_up(fmt::format("{}: point {} is solved once and stopped once", what, i));
  if (!a) return;
  for (std::size_t k = 0; k < figures(*a).size(); ++k)
    if (!agree(figures(*a)[k], figures(*b)[k], 1e-9))
      give_up(fmt::format("{}: point {}, figure {}: {} and {}", what, i, k, figures(*a)[k], figures(*b)[k]));
}

/// Packs, single points and two threads give the same figures.
void check_map(const Trial& trial, const std::vector<Point>& points) {
  const auto packs = solve_map(trial, points, 1), shared = solve_map(trial, points, 2);
  for (std::size_t i = 0; i < points.size(); ++i) check_same(packs[i], shared[i], i, "one and two threads");
  for (std::size_t i = 0; i < points.size(); i += 41) {
    Trial one = trial;
    for (Feed& feed : one.feeds) feed.rate *= points[i].throughput / throughput(trial);
    one.screw_speed = points[i].screw_speed;
    const Solved<LineState> alone = solve(one, false);
    check_same(packs[i], alone ? Solved<Summary>(alone->summary) : tl::unexpected(alone.error()), i,
               "a pack and a single solve");
  }
}

/// Python on every 73rd point stands for the whole map; it also checks the figures there.
double python_for_map(const std::string& name, const Trial& trial, const std::vector<Point>& points) {
  static std::map<std::string, double> known;
  if (const auto found = known.find(name); found != known.end()) return found->second;
  check_map(trial, points);
  std::vector<Point> sample;
  for (std::size_t i = 0; i < points.size(); i += 73) sample.push_back(points[i]);
  return known[name] = python_seconds(march_line(trial, Stock(trial)), sample);
}

void bm_line_map(benchmark::State& state, const std::string& name) {
  const Trial trial = example(name);
  const std::vector<Point> points = map_points(trial);
  const double python = python_for_map(name, trial, points);
  const int threads = static_cast<int>(state.range(0));
  const Watch watch;
  for (auto _ : state) benchmark::DoNotOptimize(solve_map(trial, points, threads));
  const double each = watch.seconds() / static_cast<double>(state.iterations()) / static_cast<double>(points.size());
  state.counters["solves/s"] = 1 / each;
  state.counters["x_python"] = python / each;
}
BENCHMARK_CAPTURE(bm_line_map, melt, std::string("melt"))
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(bm_line_map, combined, std::string("combined"))
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

std::vector<MarchResult> march_all(const MarchLine& line, const std::vector<Point>& points, int threads) {
  std::vector<MarchResult> results(points.size());
  std::atomic<std::size_t> next{0};
  std::vector<std::jthread> workers;
  for (int i = 0; i < threads; ++i) workers.emplace_back([&] { march_queue(line, points, results, next); });
  workers.clear();
  return results;
}

/// Every lane of the queue gives what the point gives alone.
void check_queue(const MarchLine& line, const std::vector<Point>& points) {
  for (const int threads : {1, 2}) {
    const auto results = march_all(line, points, threads);
    for (std::size_t i = 0; i < points.size(); i += threads == 1 ? 1 : 7) {
      const MarchResult one = march(line, points[i]), &r = results[i];
      if (!(one.residual < line.tolerance) && !(r.residual < line.tolerance)) continue;  // neither found an answer
      if (!agree(r.shaft, one.shaft, 1e-9) || !agree(r.T_end, one.T_end, 1e-9) || !agree(r.tau, one.tau, 1e-9) ||
          !agree(r.p_die, one.p_die, 1e-9))
        give_up(fmt::format("point {} of the queue, {} threads: {} W, {} K; alone {} W, {} K", i, threads, r.shaft,
                            r.T_end, one.shaft, one.T_end));
    }
  }
}

/// The marches of a map without its reports.
void bm_line_queue(benchmark::State& state, const std::string& name) {
  const Trial trial = example(name);
  const std::vector<Point> points = map_points(trial);
  const double python = python_for_map(name, trial, points);
  const MarchLine line = march_line(trial, Stock(trial));
  const int threads = static_cast<int>(state.range(0));
  if (threads == 1) check_queue(line, points);
  const Watch watch;
  for (auto _ : state) benchmark::DoNotOptimize(march_all(line, points, threads));
  const double each = watch.seconds() / static_cast<double>(state.iterations()) / static_cast<double>(points.size());
  state.counters["solves/s"] = 1 / each;
  state.counters["x_python"] = python / each;
}
BENCHMARK_CAPTURE(bm_line_queue, melt, std::string("melt"))
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();
BENCHMARK_CAPTURE(bm_line_queue, combined, std::string("combined"))
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

/// Eight equal points in a queue: what a pack costs when no lane waits for another.
void bm_line_pack(benchmark::State& state, const std::string& name) {
  const double python = python_for(name);
  const Trial trial = example(name);
  const MarchLine line = march_line(trial, Stock(trial));
  const std::vector<Point> points(8, point_of(trial));
  std::vector<MarchResult> results(points.size());
  const Watch watch;
  for (auto _ : state) {
    std::atomic<std::size_t> next{0};
    march_queue(line, points, results, next);
  }
  const double each = watch.seconds() / static_cast<double>(state.iterations()) / 8;
  check_queue(line, points);
  const double passes = results.front().iterations;
  state.counters["passes"] = passes;
  state.counters["ns_cell_pass"] = 1e9 * each / passes / static_cast<double>(line.cells.size());
  state.counters["x_python"] = python / each;
}
BENCHMARK_CAPTURE(bm_line_pack, combined, std::string("combined"))->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(bm_line_pack, melt, std::string("melt"))->Unit(benchmark::kMicrosecond);

// ---- growth with cells; parts ------------------------------------------------------------------------------------

void bm_line_cells(benchmark::State& state) {
  const Trial trial = example("melt", static_cast<int>(state.range(0)));
  MarchLine line = march_line(trial, Stock(trial));
  line.tolerance = 0, line.iterations = 10;  // the same passes on every grid
  for (auto _ : state) benchmark::DoNotOptimize(march(line, point_of(trial)));
  state.SetComplexityN(static_cast<std::int64_t>(line.cells.size()));
}
BENCHMARK(bm_line_cells)
    ->ArgName("cells")
    ->Arg(300)
    ->Arg(600)
    ->Arg(1200)
    ->Arg(2400)
    ->Arg(4800)
    ->Arg(9600)
    ->Complexity(benchmark::oN)
    ->Unit(benchmark::kMicrosecond);

/// The law of materials/viscosity.hpp on eight values at once, in the form that the march uses.
Pack<8> viscosity_of_eight(const Viscosity& v, double log_rate, const Pack<8>& T) {
  const Pack<8> log_a = v.k0 + v.k1 / (T - v.T_vogel) + v.k2 * T;
  const Pack<8> u = v.yasuda * (std::log(v.lambda) + log_rate + (v.superposition ? log_a : Pack<8>{}));
  const Pack<8> bracket = v.plateau ? softplus(u) : u;
  return v.eta_inf + (v.eta0 - v.eta_inf) * vexp(Pack<8>(log_a + (v.n - 1) / v.yasuda * bracket));
}

Viscosity some_melt() { return with_arrhenius(carreau_yasuda(5000, 0, 0.2, 0.7, 0.35), 45e3, 473.15); }
constexpr double some_rate = 150;

void bm_viscosity_one(benchmark::State& state) {
  const Viscosity eta = some_melt();
  double T = 480;
  for (auto _ : state) benchmark::DoNotOptimize(viscosity(eta, some_rate, T = T > 520 ? 480 : T + 0.01));
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(bm_viscosity_one);

void bm_viscosity_eight(benchmark::State& state) {
  const Viscosity eta = some_melt();
  Pack<8> T{480, 485, 490, 495, 500, 505, 510, 515};
  const Pack<8> first = viscosity_of_eight(eta, std::log(some_rate), T);
  for (int i = 0; i < 8; ++i)
    if (!agree(first[i], viscosity(eta, some_rate, T[i]), 1e-13)) give_up("eight viscosities differ from one");
  for (auto _ : state) {
    T = T + 1e-6;
    benchmark::DoNotOptimize(viscosity_of_eight(eta, std::log(some_rate), T));
  }
  state.SetItemsProcessed(8 * state.iterations());
}
BENCHMARK(bm_viscosity_eight);

void bm_read_project(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(read_trial(project("combined")));
}
BENCHMARK(bm_read_project)->Unit(benchmark::kMicrosecond);

}  // namespace
