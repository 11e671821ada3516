// The line model against the same algorithm in plain Python, measured in the same run (bench/reference/line.py).
#include <benchmark/benchmark.h>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <string>

#include "io/read_trial.hpp"
#include "machine/march.hpp"
#include "machine/solve.hpp"

namespace {

using namespace quern;

std::string source(const std::string& path) { return std::string(QUERN_SOURCE_DIR) + "/" + path; }
Trial example(const std::string& name, int cells = 600) {
  Trial trial = read_trial(source("examples/" + name + ".toml"));
  trial.numerics.cells = cells;
  return trial;
}

/// All that the march reads, for the reference.
nlohmann::json dump(const MarchLine& l, double m, double N, double film) {
  nlohmann::json j = {{"m", m},
                      {"N", N},
                      {"D", l.D},
                      {"centre", l.centre},
                      {"zone_T", l.zone_T},
                      {"feed_h", l.feed_h},
                      {"T_feed", l.T_feed},
                      {"fusion", l.fusion},
                      {"T_melt", l.T_melt},
                      {"size", l.size},
                      {"friction", l.friction},
                      {"filler_factor", l.filler_factor},
                      {"cp_solid", l.cp_solid},
                      {"k_solid", l.k_solid},
                      {"k_melt", l.k_melt},
                      {"rho_solid", l.rho_solid},
                      {"bulk_loose", l.bulk_loose},
                      {"bulk_compacted", l.bulk_compacted},
                      {"solid_volume_share", l.solid_volume_share},
                      {"polymer_share", l.polymer_share},
                      {"all_liquid", l.all_liquid},
                      {"v0", l.v0},
                      {"v_slope", l.v_slope},
                      {"T_ref", l.T_ref},
                      {"compress", l.compress},
                      {"film", film},
                      {"film_solid", l.film_solid},
                      {"engage", l.engage},
                      {"engage_conveying", l.engage_conveying},
                      {"normal_stress", l.normal_stress},
                      {"convey", l.convey},
                      {"film_time", l.film_time},
                      {"packing", l.packing},
                      {"action", l.action},
                      {"action_conveying", l.action_conveying},
                      {"nusselt", l.nusselt},
                      {"phi_max", l.phi_max},
                      {"die_resistance", l.die_resistance},
                      {"die_rate", l.die_rate},
                      {"coolant_capacity", l.coolant_capacity},
                      {"iterations", l.iterations},
                      {"tolerance", l.tolerance},
                      {"tip_starts", l.tip_starts},
                      {"thickening", l.thickening},
                      {"h0", l.heat.h0},
                      {"step", l.heat.step}};
  const double rate = M_PI * l.D * N / std::max(l.size, 1e-6);
  j["yield_factor"] = l.all_liquid ? 1.0
                                   : yield_stress(l.granules, l.granules.yield_T_ref, rate) /
                                         yield_stress(l.granules, l.granules.yield_T_ref, l.granules.yield_rate_ref);
  for (const char chilled : l.chilled) j["chilled"].push_back(chilled != 0);
  for (const auto& c : l.cells) j["cells"].push_back({c.part, c.zone, c.dz});
  for (const auto& p : l.parts)
    j["parts"].push_back({{"A1", p.A1},
                          {"B_D4", p.B_D4},
                          {"c_tip", p.c_tip},
                          {"c_rest", p.c_rest},
                          {"P1", p.P1_over},
                          {"k_rest", p.k_rest},
                          {"free_area", p.free_area},
                          {"bore", p.bore},
                          {"land", p.land},
                          {"nip_land", p.nip_land},
                          {"advance", p.advance},
                          {"kneading", p.kneading},
                          {"forward", p.forward},
                          {"log_k_tip", p.log_k_tip},
                          {"log_k_rest", p.log_k_rest},
                          {"log_k_pressure", p.log_k_pressure}});
  for (const auto& p : l.polymers) {
    const Viscosity& v = p.eta;
    j["polymers"].push_back({{"share", p.share},
                             {"log_lambda", p.log_lambda},
                             {"constant", p.constant},
                             {"eta_inf", v.eta_inf},
                             {"eta0", v.eta0},
                             {"yasuda", v.yasuda},
                             {"n", v.n},
                             {"plateau", v.plateau},
                             {"superposition", v.superposition},
                             {"k0", v.k0},
                             {"k1", v.k1},
                             {"k2", v.k2},
                             {"T_vogel", v.T_vogel},
                             {"beta", v.beta},
                             {"D3", v.D3},
                             {"T_floor", v.T_floor}});
  }
  for (const auto& node : l.heat.nodes) j["nodes"].push_back({node.T, node.dT, node.X, node.dX, node.Y, node.dY});
  return j;
}

struct Reference {
  double shaft = 0, T = 0, tau = 0, iterations = 0, seconds = 0;
};

/// Runs the reference on an example, once a run; stops the program when it disagrees with the march.
const Reference& reference(const std::string& name) {
  static std::map<std::string, Reference> known;
  if (const auto found = known.find(name); found != known.end()) return found->second;
  const Trial trial = example(name);
  const MarchLine line = march_line(trial, Stock(trial));
  const MarchResult<1> ours = march<1>(line, throughput(trial), trial.screw_speed);
  const auto path = std::filesystem::temp_directory_path() / ("quern-bench-" + name + ".json");
  std::ofstream(path) << dump(line, throughput(trial), trial.screw_speed, ours.film).dump();
  Reference r;
  std::FILE* pipe = popen(("python3 " + source("bench/reference/line.py") + " " + path.string()).c_str(), "r");
  const bool read = pipe != nullptr &&
                    std::fscanf(pipe, "%lf %lf %lf %lf %lf", &r.shaft, &r.T, &r.tau, &r.iterations, &r.seconds) == 5;
  if (pipe != nullptr) pclose(pipe);
  std::filesystem::remove(path);
  const auto agrees = [](double a, double b) { return std::fabs(a / b - 1) < 1e-6; };
  if (!read || !agrees(r.shaft, ours.shaft) || !agrees(r.T, ours.T_end) || !agrees(r.tau, ours.tau)) {
    std::fprintf(stderr, "%s: the reference does not agree with the march: %g %g W, %g %g K, %g %g s\n", name.c_str(),
                 r.shaft, ours.shaft, r.T, ours.T_end, r.tau, ours.tau);
    std::exit(1);
  }
  return known[name] = r;
}

void speed_up(benchmark::State& state, const Reference& r, double solves_per_iteration = 1) {
  using Counter = benchmark::Counter;
  state.counters["solves/s"] = Counter(solves_per_iteration, Counter::kIsIterationInvariantRate);
  state.counters["x_python"] = Counter(r.seconds * solves_per_iteration, Counter::kIsIterationInvariantRate);
}

void bm_line_march(benchmark::State& state, const std::string& name) {
  const Reference& r = reference(name);
  const Trial trial = example(name);
  const MarchLine line = march_line(trial, Stock(trial));
  double passes = 0;
  for (auto _ : state) {
    const MarchResult<1> result = march<1>(line, throughput(trial), trial.screw_speed);
    passes = result.iterations;
    benchmark::DoNotOptimize(result);
  }
  speed_up(state, r);
  state.counters["passes"] = passes;
}
BENCHMARK_CAPTURE(bm_line_march, combined, std::string("combined"))->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(bm_line_march, melt, std::string("melt"))->Unit(benchmark::kMicrosecond);

void bm_line_prepare(benchmark::State& state) {
  const Trial trial = example("combined");
  for (auto _ : state) benchmark::DoNotOptimize(march_line(trial, Stock(trial)));
}
BENCHMARK(bm_line_prepare)->Unit(benchmark::kMicrosecond);

void bm_line_solve(benchmark::State& state) {  // everything but the spread: checks, set-up, march, figures
  const Trial trial = example("combined");
  for (auto _ : state) benchmark::DoNotOptimize(solve(trial, false));
  speed_up(state, reference("combined"));
}
BENCHMARK(bm_line_solve)->Unit(benchmark::kMicrosecond);

void bm_line_map(benchmark::State& state) {
  const Reference& r = reference("melt");
  const Trial trial = example("melt");
  std::vector<Point> points;
  for (int i = 0; i < 1024; ++i)
    points.push_back(
        {throughput(trial) * (0.7 + 0.6 * (i % 32) / 31), trial.screw_speed * (0.8 + 0.4 * (i / 32) / 31)});
  const int threads = static_cast<int>(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(solve_map(trial, points, threads));
  speed_up(state, r, 1024);
}
BENCHMARK(bm_line_map)->ArgName("threads")->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

void bm_line_cells(benchmark::State& state) {
  const Trial trial = example("melt", static_cast<int>(state.range(0)));
  MarchLine line = march_line(trial, Stock(trial));
  line.tolerance = 0, line.iterations = 10;  // the same passes on every grid
  for (auto _ : state) benchmark::DoNotOptimize(march<1>(line, throughput(trial), trial.screw_speed));
  state.SetComplexityN(state.range(0));
}
BENCHMARK(bm_line_cells)
    ->ArgName("cells")
    ->RangeMultiplier(2)
    ->Range(300, 9600)
    ->Complexity(benchmark::oN)
    ->Unit(benchmark::kMicrosecond);

void bm_viscosity(benchmark::State& state) {  // scalar law with the C library; the march's form is in bm_line_march
  const Viscosity eta = example("melt").feeds[0].material.viscosity;
  double T = 480;
  for (auto _ : state) {
    T = T > 520 ? 480 : T + 0.01;
    benchmark::DoNotOptimize(viscosity(eta, 150, T, 1e6));
  }
}
BENCHMARK(bm_viscosity);

void bm_viscosity_eight_lanes(benchmark::State& state) {  // one exponential and one softplus, eight points together
  Pack<8> u{};
  for (int i = 0; i < 8; ++i) u[i] = 0.3 * i;
  for (auto _ : state) {
    u = u + 1e-9;
    benchmark::DoNotOptimize(vexp(Pack<8>(0.1 * softplus(u))));
  }
  state.SetItemsProcessed(8 * state.iterations());
}
BENCHMARK(bm_viscosity_eight_lanes);

void bm_read_project(benchmark::State& state) {
  for (auto _ : state) benchmark::DoNotOptimize(read_trial(source("examples/combined.toml")));
}
BENCHMARK(bm_read_project)->Unit(benchmark::kMicrosecond);

}  // namespace
