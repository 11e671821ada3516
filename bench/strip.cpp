// The strip solver against a sparse Cholesky, against another multigrid, and against what the memory allows, each timed
// in the same run.
#include <algorithm>
#include <benchmark/benchmark.h>
#include <cmath>
#include <ctime>
#include <string>

#include "linear/strip_example.hpp"
#include "linear/strip_solver.hpp"
#ifdef QUERN_WITH_CHOLMOD
#include "strip_cholmod.hpp"
#endif
#ifdef QUERN_WITH_HYPRE
#include "strip_hypre.hpp"
#endif

namespace {

using namespace quern;

constexpr double tolerance = 1e-10;

/// Of processor time, all threads together: what other programs take does not count.
template <class F>
double seconds(F&& f) {
  const std::clock_t start = std::clock();
  f();
  return static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
}

/// The quickest of some runs: what else the computer does can only slow one down.
template <class F>
double best(int runs, F&& f) {
  double least = seconds(f);
  for (int i = 1; i < runs; ++i) least = std::min(least, seconds(f));
  return least;
}

double difference(const double* p, const std::vector<double>& q) {
  double worst = 0, most = 0;
  for (std::size_t i = 0; i < q.size(); ++i) {
    worst = std::max(worst, std::abs((p[i] - p[0]) - (q[i] - q[0])));
    most = std::max(most, std::abs(q[i] - q[0]));
  }
  return worst / most;
}

/// a = b + s c over as many bytes as one iteration has to move: 69 per unknown for a cycle in single precision, 104 for
/// the vectors in double around it. A set-up counts as three iterations.
double traffic_floor(int unknowns, int iterations) {
  const std::size_t n = static_cast<std::size_t>(unknowns) * 173 / 24;
  std::vector<double> a(n, 1), b(n, 2), c(n, 3);
  const double pass = best(9, [&] {
    const double* const from = b.data();
    const double* const also = c.data();
    double* const to = a.data();
#pragma GCC ivdep
    for (std::size_t i = 0; i < n; ++i) to[i] = from[i] + 0.5 * also[i];
    benchmark::ClobberMemory();
  });
  return pass * (iterations + 3);
}

struct Run {
  StripSolver solver;
  StripReport report;
  std::vector<double> p;

  explicit Run(const StripProblem& problem) : solver(problem.system.topology), p(problem.b.size()) {}
  void cold(const StripProblem& problem) {
    std::fill(p.begin(), p.end(), 0.0);
    solver.set(problem.system);
    report = solver.solve(problem.b, p, tolerance);
  }
};

void compare(benchmark::State& state, const StripProblem& problem, const std::vector<double>& p, double mine) {
  (void)problem, (void)p, (void)mine;
#ifdef QUERN_WITH_CHOLMOD
  bench::Cholmod cholmod(problem.system);
  const double* answer = nullptr;
  const double theirs = best(5, [&] { cholmod.factor(), answer = cholmod.solve(problem.b); });
  state.counters["x_cholmod"] = theirs / mine;
  if (difference(answer, p) > 1e-6) state.SkipWithError("CHOLMOD has another answer");
#else
  state.SetLabel("without CHOLMOD");
#endif
}

/// Set-up and solution from zero.
void solve(benchmark::State& state, const StripExample& example, bool with_floor) {
  const StripProblem problem = strip_problem(example);
  Run run(problem);
  for (auto _ : state) run.cold(problem);
  if (!run.report.converged || run.report.direct) return state.SkipWithError("not converged");
  const int unknowns = example.topology.unknowns();
  const double mine = best(7, [&] { run.cold(problem); });
  state.counters["iterations"] = run.report.iterations;
  state.counters["ms"] = 1e3 * mine;
  state.counters["ms_set"] = 1e3 * best(7, [&] { run.solver.set(problem.system); });
  state.counters["bytes_unknown"] = static_cast<double>(run.solver.bytes()) / unknowns;
  if (with_floor) state.counters["of_floor"] = mine / traffic_floor(unknowns, run.report.iterations);
  compare(state, problem, run.p, mine);
#ifdef QUERN_WITH_HYPRE
  if (example.topology.junctions == 1 && !example.topology.periodic) {
    bench::Hypre hypre(problem.system);
    int iterations = 0;
    const double theirs = best(3, [&] { iterations = hypre.solve(problem.b, tolerance); });
    state.counters["x_hypre"] = theirs / mine;
    state.counters["hypre_iterations"] = iterations;
    if (difference(hypre.answer().data(), run.p) > 1e-6) state.SkipWithError("hypre has another answer");
  }
#endif
}

void bm_strip_ring(benchmark::State& state) {
  const auto n = static_cast<int>(state.range(0));
  solve(state, {.topology = ring(n, n / 3, false)}, true);
}
BENCHMARK(bm_strip_ring)->ArgName("columns")->Arg(360)->Arg(720)->Arg(1440)->Unit(benchmark::kMillisecond);

void bm_strip_stretched(benchmark::State& state) {
  solve(state, {.topology = ring(720, 240, false), .aspect = static_cast<double>(state.range(0)) / 10}, false);
}
BENCHMARK(bm_strip_stretched)
    ->ArgName("tenths")
    ->Arg(2)
    ->Arg(5)
    ->Arg(20)
    ->Arg(50)
    ->Arg(100)
    ->Unit(benchmark::kMillisecond);

/// What a screw is computed on.
void bm_strip_figure_eight(benchmark::State& state) {
  const int rows = static_cast<int>(state.range(1)), lobe = static_cast<int>(state.range(0)), nip = lobe / 5;
  solve(state, {.topology = figure_eight(lobe, nip, rows, true)}, false);
}
BENCHMARK(bm_strip_figure_eight)
    ->ArgNames({"lobe", "rows"})
    ->Args({64, 16})
    ->Args({128, 32})
    ->Args({256, 64})
    ->Unit(benchmark::kMillisecond);

/// Another right-hand side from where the last one ended.
void bm_strip_warm(benchmark::State& state) {
  StripExample example{.topology = figure_eight(128, 28, 32, true)};
  const StripProblem first = strip_problem(example);
  example.turn += 1e-4;
  const StripProblem next = strip_problem(example);
  Run run(first);
  run.cold(first);
  const std::vector<double> start = run.p;
  run.solver.set(next.system);
  for (auto _ : state) {
    run.p = start;
    run.report = run.solver.solve(next.b, run.p, 1e-6);
  }
  state.counters["iterations"] = run.report.iterations;
}
BENCHMARK(bm_strip_warm)->Unit(benchmark::kMicrosecond);

}  // namespace
