#include "flow/particle_tracking.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <fmt/format.h>
#include <numeric>
#include <thread>

#include "base/error.hpp"
#include "flow/tracer.hpp"

namespace quern {
namespace {

constexpr int chunk = 250;  // particles that share a generator

std::size_t at(int i) { return static_cast<std::size_t>(i); }

struct Sample {
  double time, strain;
  int passes;
  bool over_tip, finished;
};

Sample follow(const TracerWalk& walk, double longest, TracerWalk::Random& random) {
  Tracer t = walk.enter(random);
  // no path needs this many steps; it ends one that would go round a corner of cells for ever
  constexpr int most_steps = 20'000'000;
  bool left = false;
  for (int i = 0; i < most_steps && !left && t.time < longest; ++i)
    left = walk.step(t, random) == TracerWalk::Event::left;
  return {t.time, t.strain, t.passes, t.was_over_tip, left};
}

/// Every chunk has a generator of its own, so that it does not matter which thread takes it.
std::optional<std::vector<Sample>> follow_all(const TracerWalk& walk, double longest, const Tracking& tracking) {
  std::vector<Sample> samples(at(tracking.particles));
  std::atomic<int> next = 0;
  const auto cancelled = [&] { return tracking.cancel && tracking.cancel->load(); };
  const auto work = [&] {
    for (int first = chunk * next++; first < tracking.particles; first = chunk * next++) {
      std::seed_seq seeds{tracking.seed & 0xffffffffU, tracking.seed >> 32, static_cast<std::uint64_t>(first)};
      TracerWalk::Random random(seeds);
      for (int i = first; i < std::min(first + chunk, tracking.particles); ++i) {
        if (cancelled()) return;
        samples[at(i)] = follow(walk, longest, random);
      }
    }
  };
  std::vector<std::thread> others;
  for (int i = 1; i < tracking.threads; ++i) others.emplace_back(work);
  work();
  for (std::thread& t : others) t.join();
  if (cancelled()) return std::nullopt;
  return samples;
}

double mean(const std::vector<double>& x) {
  return std::accumulate(x.begin(), x.end(), 0.0) / static_cast<double>(x.size());
}

double variance(const std::vector<double>& x, double middle) {
  double sum = 0;
  for (const double v : x) sum += (v - middle) * (v - middle);
  return sum / static_cast<double>(x.size() - 1);
}

/// The smallest value that a share of the sample does not exceed.
double percentile(std::vector<double> x, double share) {
  const auto rank = static_cast<std::ptrdiff_t>(share * static_cast<double>(x.size() - 1));
  std::nth_element(x.begin(), x.begin() + rank, x.end());
  return x[at(static_cast<int>(rank))];
}

void set_figures(TrackedFlow& flow, const std::vector<Sample>& samples) {
  int over = 0, passes = 0;
  for (const Sample& s : samples) {
    flow.times.push_back(s.time), flow.strains.push_back(s.strain);
    over += s.over_tip, passes += s.passes, flow.unfinished += !s.finished;
  }
  const auto n = static_cast<double>(samples.size());
  flow.mean_time = mean(flow.times), flow.variance = variance(flow.times, flow.mean_time);
  flow.time_error = std::sqrt(flow.variance / n);
  flow.time_5 = percentile(flow.times, 0.05), flow.time_50 = percentile(flow.times, 0.5);
  flow.time_95 = percentile(flow.times, 0.95);
  flow.mixing_length = flow.length * flow.variance / (flow.mean_time * flow.mean_time);
  flow.mean_strain = mean(flow.strains);
  flow.strain_error = std::sqrt(variance(flow.strains, flow.mean_strain) / n);
  flow.strain_5 = percentile(flow.strains, 0.05), flow.strain_50 = percentile(flow.strains, 0.5);
  flow.strain_95 = percentile(flow.strains, 0.95);
  flow.tip_passes = passes / n / flow.length, flow.share_over_tip = over / n;
}

/// ∫ h dx over the lobes, flat.
double strip_section(const ElementShape& shape, const StripGrid& grid, Run run) {
  const StripField field = StripFields(shape, grid, {}, run).at(0);
  const auto lobes = static_cast<std::ptrdiff_t>(2 * field.lobe_links) * field.topology.rows;
  return std::inner_product(field.depth.begin(), field.depth.begin() + lobes, field.area.begin(), 0.0) / field.length;
}

}  // namespace

void check_tracking(const ElementShape& shape, double throughput, const Tracking& t) {
  std::vector<Fault> faults;
  const auto want = [&](bool good, const char* field, double is, const char* right) {
    if (!good) faults.push_back({.field = field, .wrong = fmt::format("{:g}", is), .right = right});
  };
  want(std::isfinite(throughput) && throughput != 0, "throughput", throughput, "any flow but none, for example 0.15");
  want(t.length > 0 && t.length <= 100, "length", t.length, "more than 0 and at most 100 screw diameters");
  want(t.turns >= 4 && t.turns <= 1000, "turns", t.turns, "4 to 1000 rotations");
  want(t.particles >= 2 && t.particles <= 10'000'000, "particles", t.particles, "2 to 10 million");
  want(t.threads >= 1 && t.threads <= 1024, "threads", t.threads, "1 to 1024");
  want(t.longest > 1 && t.longest <= 1000, "longest", t.longest, "more than 1 and at most 1000 mean times");
  want(t.step > 0 && t.step <= 1, "step", t.step, "more than 0 and at most 1");
  if (t.run == Run::block && shape.kind != ElementKind::kneading)
    faults.push_back({.field = "run", .wrong = "a conveying element as a block", .right = "endless"});
  if (!faults.empty()) throw InputError(std::move(faults));
}

std::optional<TrackedFlow> track_particles(const ElementShape& shape, const StripGrid& grid, double throughput,
                                           const Tracking& tracking) {
  check_tracking(shape, throughput, tracking);
  const TrackField field = track_field(
      shape, grid,
      {.run = tracking.run, .throughput = throughput, .turns = tracking.turns, .threads = tracking.threads});
  const int rows = field.rows_of(tracking.length);
  TrackedFlow flow;
  flow.length = rows * field.row, flow.volume = field.volume_per_length() * flow.length;
  flow.strip_volume = strip_section(shape, grid, tracking.run) * flow.length;
  flow.volume_over_throughput = flow.volume / std::abs(throughput);
  flow.mean_rate = field.mean_rate();
  const TracerWalk walk(field, rows, tracking.step);
  const auto samples = follow_all(walk, tracking.longest * flow.volume_over_throughput, tracking);
  if (!samples) return std::nullopt;
  set_figures(flow, *samples);
  return flow;
}

}  // namespace quern
