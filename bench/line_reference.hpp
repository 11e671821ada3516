#pragma once
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>
#include <span>
#include <string>
#include <unistd.h>
#include <vector>

#include "machine/march.hpp"
#include "machine/solve.hpp"
namespace quern::bench {

/// All that the march reads, for the reference.
inline nlohmann::json dump(const MarchLine& l) {
  nlohmann::json j = {{"D", l.D},
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

/// What shifts the granules' yield stress at a screw speed; the march finds it once for each point.
inline double yield_factor(const MarchLine& l, double N) {
  if (l.all_liquid) return 1;
  const Solid& s = l.granules;
  const double rate = std::numbers::pi * l.D * N / std::max(l.size, 1e-6);
  return yield_stress(s, s.yield_T_ref, rate) / yield_stress(s, s.yield_T_ref, s.yield_rate_ref);
}

/// Writes a file for the reference and removes it again.
class DumpFile {
 public:
  explicit DumpFile(const nlohmann::json& content)
      : path_(std::filesystem::temp_directory_path() / ("quern-bench-" + std::to_string(getpid()) + ".json")) {
    std::ofstream(path_) << content.dump();
  }
  ~DumpFile() { std::filesystem::remove(path_); }
  DumpFile(const DumpFile&) = delete;
  DumpFile& operator=(const DumpFile&) = delete;
  std::string path() const { return path_.string(); }

 private:
  std::filesystem::path path_;
};

[[noreturn]] inline void give_up(const std::string& why) {
  std::fprintf(stderr, "bench_line: %s\n", why.c_str());
  std::exit(1);
}

inline bool agree(double a, double b, double tolerance) {
  return std::fabs(a - b) <= tolerance * std::max(std::fabs(a), std::fabs(b));
}

/// Solves the points with bench/reference/line.py and compares each with the march.
/// Ends the program where they differ by more than 1e-6 or need another number of passes.
/// @return mean time of one solve in Python [s]
inline double python_seconds(const MarchLine& line, std::span<const Point> points) {
  nlohmann::json content = dump(line);
  std::vector<MarchResult> ours;
  for (const Point& p : points) {
    ours.push_back(march(line, p));
    content["points"].push_back({p.throughput, p.screw_speed, yield_factor(line, p.screw_speed), ours.back().film});
  }
  const DumpFile file(content);
  const std::string command = std::string("python3 ") + QUERN_SOURCE_DIR + "/bench/reference/line.py " + file.path();
  std::FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) give_up("python3 does not start");
  double seconds = 0, shaft = 0, T = 0, tau = 0, passes = 0;
  for (const MarchResult& r : ours) {
    const bool read = std::fscanf(pipe, "%lf %lf %lf %lf", &shaft, &T, &tau, &passes) == 4;
    if (!read || !agree(shaft, r.shaft, 1e-6) || !agree(T, r.T_end, 1e-6) || !agree(tau, r.tau, 1e-6) ||
        std::fabs(passes - r.iterations) > 1)
      give_up(fmt::format("the reference does not agree with the march: {} {} W, {} {} K, {} {} s, {} {} passes", shaft,
                          r.shaft, T, r.T_end, tau, r.tau, passes, r.iterations));
  }
  const bool timed = std::fscanf(pipe, "%lf", &seconds) == 1;
  if (pclose(pipe) != 0 || !timed) give_up("the reference gives no time");
  return seconds;
}

}  // namespace quern::bench
