#include "flow/particle_tracking.hpp"

#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>

#include "base/error.hpp"
#include "flow/streamlines.hpp"
#include "flow/tracer.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr StripGrid coarse{.across = 64, .nip = 16, .rows_per_disc = 3, .rows = 16};

ElementShape reference() {
  ElementShape s;
  s.bore = 1.01, s.centre = (1 + 1 / 1.55) / 2 + 0.01, s.screw_gap = 0.01;
  return s;
}
ElementShape block(double stagger_degrees) {
  ElementShape s = reference();
  s.kind = ElementKind::kneading, s.lead = 0, s.discs = 5, s.disc_width = 0.2, s.stagger = stagger_degrees * pi / 180;
  return s;
}
Tracking quick(Run run = Run::endless) { return {.run = run, .turns = 24, .particles = 2000, .seed = 7}; }

/// Parallel plates: every cell alike, flow along the axis only.
TrackField plates(double flow, double volume) {
  TrackField f;
  f.rows = 4, f.lobe_cells = 3, f.nip_cells = 2, f.intervals = 1, f.duration = 0.05, f.row = 0.25;
  f.throughput = 8 * flow, f.bore_radius = 0.5, f.cusp_angle = 0.5, f.cell_angle = 2.6;
  f.cells.assign(32, TrackCell{{0, 0}, {0, 0}, {flow, flow}, {volume, volume}});
  f.nip_walls.resize(8), f.nip_rate.resize(8);
  return f;
}

double closeness(const TrackedFlow& flow) { return (flow.mean_time - flow.volume_over_throughput) / flow.time_error; }

}  // namespace

TEST_CASE("tracer: parallel plates let F(t) = (3w - w³)/2 through, w² = 1 - 2V/3Qt") {  // plane Poiseuille, closed form
  const TrackField f = plates(0.02, 0.01);
  const TracerWalk walk(f, 4, 0.5);
  TracerWalk::Random random(11);
  constexpr int n = 5000;
  std::vector<double> times;
  for (int i = 0; i < n; ++i) {
    Tracer t = walk.enter(random);
    while (walk.step(t, random) == TracerWalk::Event::moved) {
    }
    times.push_back(t.time);
  }
  const double mean = 4 * 0.01 / 0.02;
  for (const double reduced : {0.7, 0.8, 1.0, 1.5, 3.0}) {
    CAPTURE(reduced);
    const double w = std::sqrt(1 - 2 / (3 * reduced)), F = (3 * w - w * w * w) / 2;
    double share = 0;
    for (const double t : times) share += t < reduced * mean ? 1.0 / n : 0;
    CHECK(std::abs(share - F) < 3.5 * std::sqrt(F * (1 - F) / n));
  }
}

TEST_CASE("tracer: a screw that drags a steady gap along carries melt at U s") {  // plane Couette, closed form
  TrackField f = plates(0, 0.01);
  for (TrackCell& c : f.cells) c.swept[0] = c.swept[1] = 0.04, c.flux[0] = c.flux[1] = -0.02;
  const TracerWalk walk(f, 4, 0.5);
  TracerWalk::Random random(5);
  for (const double s : {0.1, 0.5, 0.9}) {
    Tracer t;
    t.at.depth = s;
    while (t.cell == 0) walk.step(t, random);
    CHECK(t.time == Approx(0.01 / (0.04 * s)).epsilon(1e-9));
    CHECK(t.at.depth == s);
  }
}

TEST_CASE("tracer: between sliding screws a path follows its stream function ∫₀ˢ Φ ds") {
  TrackField f = plates(0, 0.01);
  const NipWalls walls{{0.03, 0.05}, {0.02, 0.045}};
  for (TrackCell& c : f.cells) c.swept[0] = c.swept[1] = 0.002;
  f.nip_walls.assign(8, walls);
  const TracerWalk walk(f, 4, 0.1);
  TracerWalk::Random random(5);
  const auto psi = [&](const CellPoint& p) {
    const double x = p.along, up = (1 - x) * walls.up[0] + x * walls.up[1];
    return nip_face(up, (1 - x) * walls.down[0] + x * walls.down[1], 0.002).below(p.depth);
  };
  for (const double s : {0.05, 0.2, 0.35, 0.8}) {
    CAPTURE(s);
    Tracer t;
    const int cell = s < 0.5 ? 6 : 7;  // up out of the lower, down out of the upper: not to a cusp
    t.cell = cell, t.at = {0.5, 0.5, s};
    const double before = psi(t.at);
    CellPoint last = t.at;
    for (; t.cell == cell && t.time < 2; walk.step(t, random)) last = t.at;
    CHECK(std::abs(last.along - 0.5) > 0.3);
    CHECK(psi(last) == Approx(before).epsilon(1e-4));
  }
  Tracer t;  // and in time: Couette, u (1 - s) - d s with u = d and no net flux
  f.nip_walls.assign(8, {{0.04, 0.04}, {0.04, 0.04}});
  for (TrackCell& c : f.cells) c.swept[0] = c.swept[1] = 0;
  t.cell = 6, t.at.depth = 0.2;
  while (t.cell == 6) walk.step(t, random);
  CHECK(t.time == Approx(0.01 / (0.04 * (1 - 2 * 0.2))).epsilon(1e-9));
}

TEST_CASE("face profile: the part on less the part back is the net flow") {
  for (const double q : {-0.9, -0.5, 0.3}) {
    const FaceProfile lobe = lobe_face(1, q);
    CHECK(lobe.on() - lobe.back() == Approx(1 + q));
    CHECK((lobe.back() > 0) == (q < -2.0 / 3));  // Φ ~ s (4 + 6q) at the barrel
  }
  const FaceProfile nip = nip_face(1, 1, 0);  // Φ = 1 - 2s
  CHECK(nip.turns_at() == Approx(0.5));
  CHECK(nip.on() == Approx(0.25));
  CHECK(nip.back() == Approx(0.25));
  CHECK(nip.depth_at(0.75, true) == Approx(0.25));  // 1 - (1 - 2s)² = 0.75
  CHECK(nip.depth_at(0.25, false) == Approx(0.75));  // (2s - 1)² = 0.25
  CHECK(nip_face(1, 0.6, 0.3).below(1) == Approx(0.3));
}

TEST_CASE("track field: fluxes, volumes and cusps balance, and the cells fill the free section") {
  for (const auto& [shape, run] :
       {std::pair{reference(), Run::endless}, {block(45), Run::endless}, {block(45), Run::block}}) {
    CAPTURE(shape.discs);
    const TrackField f = track_field(shape, coarse, {.run = run, .throughput = 0.15, .turns = 24});
    CHECK(f.volume_per_length() == Approx(shape.profile().free_area).epsilon(1e-5));  // the outline in 4096 steps
    double worst = 0;
    for (int n = 0; n < f.intervals; ++n)
      for (int k = 0; k < f.rows; ++k) {
        double through = 0, cusp = 0;
        for (int i = 0; i < f.row_cells(); ++i) {
          const TrackCell& c = f.at(n, k, i);
          worst = std::max(worst, std::abs(c.flux[1] - c.flux[0] + c.axial[1] - c.axial[0]));
          worst = std::max(worst, std::abs((c.volume[1] - c.volume[0]) / f.duration + c.swept[1] - c.swept[0]));
          through += c.axial[1];
        }
        const TrackCell &out = f.at(n, k, f.lobe_cells - 1), &in = f.at(n, k, f.lobe_cells),
                        &nip = f.at(n, k, 2 * f.lobe_cells);
        cusp = out.flux[1] + out.swept[1] - in.flux[0] - in.swept[0] - nip.flux[0] - nip.swept[0];
        worst = std::max({worst, std::abs(through - 0.15), std::abs(cusp)});
      }
    CHECK(worst < 1e-9);
  }
}

TEST_CASE("tracers spread evenly over the volume stay so") {
  const TrackField f = track_field(reference(), coarse, {.throughput = 0.15});
  const TracerWalk walk(f, 16, 0.5);
  TracerWalk::Random random(3);
  constexpr int n = 4000;
  std::array<int, 8> depth{}, place{};
  int nip = 0;
  for (int i = 0; i < n; ++i) {
    Tracer t = walk.anywhere(random);
    for (double time = 0; time < 1.5; time += t.time) {
      t.time = 0;
      if (walk.step(t, random) == TracerWalk::Event::left) time += t.time, t = walk.enter(random);
    }
    ++place[static_cast<std::size_t>(t.row / 2)];
    if (f.in_nip(t.cell)) ++nip;
    else ++depth[static_cast<std::size_t>(std::min(7.0, 8 * t.at.depth))];
  }
  double all = 0, between = 0;
  for (int c = 0; c < f.row_cells(); ++c)
    all += f.at(0, 3, c).volume[0], between += f.in_nip(c) ? f.at(0, 3, c).volume[0] : 0;
  const auto off = [](double count, double share, double of) {
    return std::abs(count - share * of) / std::sqrt(share * (1 - share) * of);
  };
  CHECK(off(nip, between / all, n) < 3.5);
  for (const int count : depth) CHECK(off(count, 0.125, n - nip) < 3.5);
  for (const int count : place) CHECK(off(count, 0.125, n) < 3.5);
}

TEST_CASE("tracking: the mean time is volume over throughput, the mean strain the mean rate times that") {
  struct Case {
    ElementShape shape;
    Run run;
    double throughput;
  };
  for (const Case& c : {Case{reference(), Run::endless, 0.15},
                        {reference(), Run::endless, 0.3},
                        {block(45), Run::block, 0.15},
                        {block(45), Run::block, -0.1},
                        {block(90), Run::endless, 0.15}}) {
    CAPTURE(c.shape.discs);
    CAPTURE(c.throughput);
    const TrackedFlow flow = *track_particles(c.shape, coarse, c.throughput, quick(c.run));
    CHECK(std::abs(closeness(flow)) < 3);
    CHECK(std::abs(flow.mean_strain - flow.mean_rate * flow.volume_over_throughput) < 3.5 * flow.strain_error);
    CHECK(flow.unfinished < 10);
    CHECK(flow.time_5 < flow.time_50);
    CHECK(flow.time_50 < flow.time_95);
    CHECK(flow.mixing_length == Approx(flow.length * flow.variance / (flow.mean_time * flow.mean_time)));
  }
}

TEST_CASE("tracking: as many tips pass as leak over them") {
  // a land drags U δ/2 over itself; pressure adds some tenths; tips on the two lobes: 2n (1 - ψb/π)
  Tracking many = quick();
  many.particles = 6000;
  const TrackedFlow flow = *track_particles(reference(), coarse, 0.15, many);
  const double tips = 4 * (1 - std::acos(reference().centre / 1.01) / pi), leak = tips * pi * 1.01 * 0.005 / 2;
  CHECK(flow.tip_passes == Approx(leak / 0.15).epsilon(0.3));
  CHECK(flow.share_over_tip > 0.01);
  CHECK(flow.share_over_tip < 0.05);
}

TEST_CASE("tracking: a stack too little staggered to repeat is straight, as the strip takes it") {
  Tracking t = quick();
  t.particles = 200, t.length = 0.2;
  const StripGrid few{.across = 24, .nip = 6, .rows_per_disc = 1};
  const TrackedFlow flow = *track_particles(block(1), few, 0.15, t);
  CHECK(std::abs(closeness(flow)) < 3);
}

TEST_CASE("tracking: a neutral block is its own mirror image") {
  const TrackedFlow there = *track_particles(block(90), coarse, 0.15, quick(Run::block));
  const TrackedFlow back = *track_particles(block(90), coarse, -0.15, quick(Run::block));
  CHECK(std::abs(there.mean_time - back.mean_time) < 3 * std::hypot(there.time_error, back.time_error));
  CHECK(there.time_50 == Approx(back.time_50).epsilon(0.05));
  CHECK(there.mean_rate == Approx(back.mean_rate).epsilon(1e-6));
  CHECK(there.times != back.times);
}

TEST_CASE("tracking: the same seed gives the same particles on any number of threads, another seed others") {
  Tracking t = quick();
  t.particles = 700;
  const TrackedFlow one = *track_particles(reference(), coarse, 0.15, t);
  t.threads = 2;
  const TrackedFlow two = *track_particles(reference(), coarse, 0.15, t);
  CHECK(one.times == two.times);
  CHECK(one.strains == two.strains);
  t.seed = 8;
  CHECK(track_particles(reference(), coarse, 0.15, t)->times != one.times);
}

TEST_CASE("tracking: half the step, the same time") {
  Tracking t = quick();
  const TrackedFlow whole = *track_particles(reference(), coarse, 0.15, t);
  t.step = 0.25;
  const TrackedFlow half = *track_particles(reference(), coarse, 0.15, t);
  CHECK(std::abs(whole.mean_time - half.mean_time) < 3 * std::hypot(whole.time_error, half.time_error));
  CHECK(whole.time_50 == Approx(half.time_50).epsilon(0.03));
}

TEST_CASE("tracking: particles given up are counted") {
  Tracking t = quick();
  t.particles = 400, t.longest = 1.1;
  const TrackedFlow flow = *track_particles(reference(), coarse, 0.15, t);
  int late = 0;
  for (const double time : flow.times) late += time >= 1.1 * flow.volume_over_throughput;
  CHECK(flow.unfinished > 20);
  CHECK(late >= flow.unfinished);
}

TEST_CASE("tracking: cancelled, there is no answer") {
  const std::atomic<bool> yes = true;
  Tracking t = quick();
  t.cancel = &yes;
  CHECK_FALSE(track_particles(reference(), coarse, 0.15, t).has_value());
}

TEST_CASE("tracking: what makes no sense is refused by name") {
  using doctest::Contains;
  const auto with = [](auto change) {
    Tracking t = quick();
    change(t);
    return t;
  };
  const auto refused = [&](const Tracking& t, double throughput, const char* what) {
    CHECK_THROWS_WITH_AS(track_particles(reference(), coarse, throughput, t), Contains(what), InputError);
  };
  refused(quick(), 0, "throughput");
  refused(quick(), NAN, "throughput");
  refused(quick(Run::block), 0.15, "run");
  refused(with([](Tracking& t) { t.length = -1; }), 0.15, "length");
  refused(with([](Tracking& t) { t.length = NAN; }), 0.15, "length");
  refused(with([](Tracking& t) { t.particles = 0; }), 0.15, "particles");
  refused(with([](Tracking& t) { t.step = 2; }), 0.15, "step");
  refused(with([](Tracking& t) { t.longest = 0; }), 0.15, "longest");
  refused(with([](Tracking& t) { t.threads = 0; }), 0.15, "threads");
}

TEST_CASE("streamlines: paths lead from the inlet to the outlet, through both lobes and the nip") {
  Tracking t = quick();
  t.particles = 5;
  std::array<int, 3> strands{};
  for (const Streamline& path : streamlines(reference(), coarse, 0.15, t)) {
    CHECK(path.front().z == 0);
    CHECK(path.back().z == Approx(1));
    for (std::size_t i = 1; i < path.size(); ++i) {
      CHECK(path[i].time >= path[i - 1].time);
      CHECK(path[i].screw_angle.has_value() == (path[i].strand < 2));
      ++strands[static_cast<std::size_t>(path[i].strand)];
      if (path[i].strand != path[i - 1].strand) continue;
      CHECK(std::abs(path[i].z - path[i - 1].z) < 0.1);
    }
  }
  for (const int points : strands) CHECK(points > 50);
}
