// Solved elements: a shear-thinning staircase against refactoring a sparse Cholesky in every pass, whole elements on one
// and two threads, and what a trial costs once its elements are known. Ratios of times of one run.
#include <algorithm>
#include <benchmark/benchmark.h>
#include <chrono>
#include <cmath>
#include <ctime>
#include <filesystem>
#include <memory>
#include <unistd.h>

#include "flow/element_example.hpp"
#include "flow/element_solution.hpp"
#include "flow/strip_equations.hpp"
#include "io/read_trial.hpp"
#include "jobs/elements.hpp"
#include "machine/solve.hpp"
#ifdef QUERN_WITH_CHOLMOD
#include "strip_cholmod.hpp"
#else
#include "linear/strip_cholesky.hpp"
#endif

namespace {

using namespace quern;

using Clock = double (*)();
double wall() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }
/// Of processor time, all threads together: what other programs take does not count.
double processor() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

template <class F>
double seconds(Clock now, F&& f) {
  const double start = now();
  f();
  return now() - start;
}

/// The quickest of some runs: what else the computer does can only slow one down.
template <class F>
double best(int runs, Clock now, F&& f) {
  double least = seconds(now, f);
  for (int i = 1; i < runs; ++i) least = std::min(least, seconds(now, f));
  return least;
}

/// One factorization and both right-hand sides of a rotation, ordering known: what each pass of a direct method repeats.
double direct_pass(const StripField& field) {
  const StripSystem system = strip_system(field);
  const std::vector<double> turning = drag_source(field), pressing = gradient_source(field);
#ifdef QUERN_WITH_CHOLMOD
  bench::Cholmod direct(system);
  return best(3, processor, [&] { direct.factor(), direct.solve(turning), direct.solve(pressing); });
#else
  StripCholesky direct(system.topology);
  return best(3, processor, [&] { direct.factor(system), direct.solve(turning), direct.solve(pressing); });
#endif
}

/// 36 rotations of a staircase of 45 degrees, power law of index 0.4, pressure to 1e-4, on two threads. The baseline is
/// the passes that the solution took, each with a factorization per rotation, its viscosities left out; processor time
/// of both.
void bm_thinning_staircase(benchmark::State& state) {
  constexpr int turns = 36;
  const ElementShape shape = kneading_example(45);
  const StripGrid grid = grid_for(shape, static_cast<int>(state.range(0)));
  const ThinningLaw law{.eta0 = 1, .lambda = 1, .n = 0.4, .plateau = false, .least_rate = 1e-4};
  const auto answer = [&](double tolerance, int threads) {
    ThinningStrip strip(shape, grid, {}, turns, threads);
    return strip.solve(law, {0.1, true}, tolerance, false);
  };
  ThinningFlow flow;
  double mine = 1e300;
  for (auto _ : state) mine = std::min(mine, seconds(processor, [&] { flow = answer(1e-4, 2); }));
  if (!flow.converged) return state.SkipWithError("not converged");
  if (state.range(0) < 512 && std::abs(flow.gradient / answer(1e-6, 2).gradient - 1) > 1e-4)
    return state.SkipWithError("not to 1e-4");
  const StripFields fields(shape, grid, {}, Run::endless);
  const double direct = direct_pass(fields.at(0.3)) * turns * flow.passes;
  state.counters["passes"] = flow.passes;
  state.counters["unknowns"] = fields.topology().unknowns();
#ifdef QUERN_WITH_CHOLMOD
  state.counters["x_cholmod"] = direct / mine;
#else
  state.counters["x_eigen_cholesky"] = direct / mine;
#endif
}
BENCHMARK(bm_thinning_staircase)
    ->ArgName("across")
    ->Arg(128)
    ->Arg(256)
    ->Arg(512)
    ->Unit(benchmark::kSecond)
    ->Iterations(1);

Trial example() { return read_trial(std::string(QUERN_SOURCE_DIR) + "/examples/combined.toml"); }

/// The example's shapes, a millionth off, so that they do not come with the program.
std::vector<ElementShape> shapes() {
  std::vector<ElementShape> all = shapes_to_solve(example());
  for (ElementShape& s : all) s.screw_gap += 1e-6;
  return all;
}

double solve_all(int threads) {
  return seconds(wall, [&] {
    if (!solve_elements(shapes(), ElementStore(""), {}, threads)) std::abort();
  });
}

/// Every shape of a trial from nothing.
void bm_elements_cold(benchmark::State& state) {
  double two = 1e300;
  for (auto _ : state) two = std::min(two, solve_all(2));
  state.counters["shapes"] = static_cast<double>(shapes().size());
  state.counters["x_one_thread"] = solve_all(1) / two;
}
BENCHMARK(bm_elements_cold)->Unit(benchmark::kSecond)->Iterations(1)->UseRealTime();

/// A folder of solved elements, gone at the end.
struct Store {
  std::filesystem::path path = std::filesystem::temp_directory_path() / ("quern-bench-" + std::to_string(getpid()));
  ElementStore store{path.string()};
  Store() {
    if (!solve_elements(shapes_to_solve(example()), store, {}, 2)) std::abort();
  }
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;
  ~Store() { std::filesystem::remove_all(path); }
};

/// A trial whose elements are known: finding them, and the line, against the line alone.
void bm_elements_warm(benchmark::State& state) {
  const Store kept;
  Trial trial = example();
  const auto find = [&] {
    trial.elements = std::make_shared<const ElementLibrary>(*solve_elements(shapes_to_solve(trial), kept.store, {}, 1));
  };
  find();
  const double line = best(20, processor, [&] { benchmark::DoNotOptimize(solve(trial, false)); });
  for (auto _ : state) {
    find();
    benchmark::DoNotOptimize(solve(trial, false));
  }
  const double found = best(20, processor, find);
  state.counters["ms_found"] = 1e3 * found;
  state.counters["x_line_alone"] = (found + line) / line;
}
BENCHMARK(bm_elements_warm)->Unit(benchmark::kMillisecond);

}  // namespace
