#include "flow/element_solution.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>

#include "flow/facing_discs.hpp"
#include "flow/particle_tracking.hpp"
#include "flow/thinning_flow.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

/// Axial gap between neighbouring discs, in D: on few drawings. Common practice, no source.
constexpr double disc_gap = 0.01;

/// Orders at which errors fell with the grid (docs/theory/element-solver).
constexpr double order_newtonian = 1.5, order_thinning = 1.75;

constexpr std::array indices{0.7, 0.45, 0.25};

/// Straight lines through (x, y), level beyond the ends.
double between(const std::vector<std::pair<double, double>>& points, double x) {
  if (x <= points.front().first) return points.front().second;
  for (std::size_t i = 1; i < points.size(); ++i)
    if (x < points[i].first) {
      const auto [x0, y0] = points[i - 1];
      const auto [x1, y1] = points[i];
      return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
    }
  return points.back().second;
}

/// Gaps to our own three-dimensional Stokes solutions of conveying elements of 0.5, 1 and 2 D lead and of stacks of
/// discs 0.1, 0.2 and 0.4 D wide, at one diameter ratio (docs/theory/element-solver).
ElementUncertainty against_three_dimensions(const ElementShape& s) {
  if (s.kind == ElementKind::conveying)
    return {between({{0.5, 0.12}, {0.75, 0.06}, {1, 0.03}}, s.lead),
            between({{0.5, 0.47}, {0.75, 0.2}, {1, 0.08}, {2, 0.05}}, s.lead),
            between({{0.5, 0.12}, {1, 0.06}}, s.lead)};
  return {between({{0.1, 0.2}, {0.2, 0.07}}, s.disc_width),
          between({{0.1, 0.3}, {0.2, 0.15}, {0.4, 0.1}}, s.disc_width),
          between({{0.1, 0.35}, {0.2, 0.2}}, s.disc_width)};
}

bool covered(const ElementShape& s) { return s.kind == ElementKind::conveying ? s.lead >= 0.75 : s.disc_width >= 0.1; }

bool stopped(const Progress& progress) { return progress.cancelled && progress.cancelled(); }

struct Mean {
  double A1 = 0, B = 0, c = 0, tip = 0, nip = 0, balance = 0;
  ShearRates rates{};
  int iterations = 0, direct = 0;
};

/// Newtonian flow averaged over a turn.
std::optional<Mean> newtonian(const ElementShape& shape, int across, Run run, int turns, ElementOutcome& outcome,
                              const Progress& progress) {
  const StripFields fields(shape, grid_for(shape, across), {}, run);
  StripSolver solver(fields.topology());
  const std::vector<double> angles = turns_of(shape, run, turns);
  std::vector<std::pair<StripField, StripFlow>> snapshots;
  Mean mean;
  const double share = 1.0 / static_cast<double>(angles.size());
  for (const double turn : angles) {
    if (stopped(progress)) return outcome.stopped = "cancelled", std::nullopt;
    StripField field = fields.at(turn);
    StripFlow flow = strip_flow(field, solver);
    if (!flow.converged) return outcome.stopped = "element strip solver", std::nullopt;
    mean.A1 += share * flow.throughput, mean.B += share * flow.passage, mean.c += share * flow.power;
    mean.tip += share * flow.tip_power, mean.nip += share * flow.nip_power;
    mean.balance = std::max(mean.balance, balance_gap(flow));
    mean.iterations = std::max(mean.iterations, flow.iterations), mean.direct += flow.direct;
    if (run == Run::endless) snapshots.emplace_back(std::move(field), std::move(flow));
  }
  if (run == Run::block) return mean;
  RateSample sample;
  for (const auto& [field, flow] : snapshots) sample.add(field, flow, mean.A1 / 2 / mean.B);
  mean.rates = sample.rates();
  return mean;
}

/// From two grids to one without error.
double extrapolate(double coarse, double fine, double ratio, double order) {
  return fine + (fine - coarse) / (std::pow(ratio, order) - 1);
}

Characteristics characteristics(double A1, double B, double c) {
  return {.A1 = A1, .B = B, .P0 = c + A1 * A1 / B, .P1 = A1 / B};
}

double facing_power(const ElementShape& s) {
  if (s.kind != ElementKind::kneading) return 0;
  const Section section{.barrel_bore = s.bore,
                        .screw_diameter = 1,
                        .centre_distance = s.centre,
                        .starts = s.starts,
                        .screw_gap = s.screw_gap};
  const double slide = 2 * pi * s.centre;
  return slide * slide * mean_facing_discs(section, s.starts, s.stagger) / disc_gap / s.disc_width;
}

ThinningLaw power_law(double n) { return {.eta0 = 1, .lambda = 1, .n = n, .plateau = false, .least_rate = 1e-4}; }

/// Rate at which a power law of index n has the viscosity `eta`.
double rate_of(double eta, double n) { return std::pow(eta, 1 / (n - 1)); }

/// Thinning figures on one grid, for all indices.
std::optional<std::vector<ThinningFigures>> thinning_on(const ElementShape& shape, int across, int turns,
                                                        ElementOutcome& outcome, const Progress& progress) {
  ThinningStrip strip(shape, grid_for(shape, across), {}, turns);
  const ThinningFlow newton = strip.solve(power_law(1), {0, false});
  const ThinningFlow closed = strip.solve(power_law(1), {0, true});
  const bool neutral = std::abs(newton.throughput) < 1e-6;
  const double B = neutral ? 0 : newton.throughput / closed.gradient;
  std::vector<ThinningFigures> all;
  bool converged = newton.converged && closed.converged;
  for (const double n : indices) {
    const auto run = [&](StripDrive drive) {
      const ThinningFlow flow = strip.solve(power_law(n), drive, 1e-4, !drive.is_throughput);
      converged &= flow.converged;
      return flow;
    };
    if (stopped(progress)) return outcome.stopped = "cancelled", std::nullopt;
    const ThinningFlow free = run({0, false});
    ThinningFigures f{.index = n};
    f.rate_power = rate_of((free.power - free.tip_power) / (newton.power - newton.tip_power), n);
    if (neutral) {
      constexpr double throughput = 0.1;
      const double unit = strip.solve(power_law(1), {throughput, true}).gradient;
      f.rate_pressure = f.rate_consuming = rate_of(run({throughput, true}).gradient / unit, n);
    } else {
      f.throughput = free.throughput / newton.throughput;
      const auto rate = [&](double load) {  // throughput as a share of what passes without pressure
        const double Q = load * free.throughput;
        return rate_of(run({Q, true}).gradient / ((free.throughput - Q) / B), n);
      };
      f.rate_pressure = rate(0.5), f.rate_consuming = rate(-0.75);
    }
    all.push_back(f);
    if (!converged) return outcome.stopped = "shear-thinning strip", std::nullopt;
  }
  return all;
}

/// Both grids carried on; at n = 1 the rates are those of the least index above it, where they no longer matter.
std::vector<ThinningFigures> extrapolate(const std::vector<ThinningFigures>& coarse,
                                         const std::vector<ThinningFigures>& fine, double ratio) {
  std::vector<ThinningFigures> all;
  const auto carried = [&](double a, double b) { return extrapolate(a, b, ratio, order_thinning); };
  for (std::size_t i = 0; i < fine.size(); ++i) {
    const ThinningFigures &a = coarse[i], &b = fine[i];
    all.push_back({b.index, carried(a.throughput, b.throughput), carried(a.rate_pressure, b.rate_pressure),
                   carried(a.rate_consuming, b.rate_consuming), carried(a.rate_power, b.rate_power)});
  }
  ThinningFigures newtonian = all.front();
  newtonian.index = 1, newtonian.throughput = 1;
  all.insert(all.begin(), newtonian);
  return all;
}

/// A kneading block by itself, or two diameters of an endless flight.
TrackedFigures track(const ElementShape& shape, double A1, const ElementGrids& grids) {
  Tracking tracking{.length = 2, .turns = grids.tracking_turns, .particles = grids.particles};
  if (shape.kind == ElementKind::kneading) tracking.run = Run::block;
  const double V = A1 > 0 ? A1 / 2 : 0.1;
  const TrackedFlow t = track_particles(shape, grid_for(shape, grids.tracking), V, tracking).value();
  const double time = t.volume_over_throughput;
  return {V,         t.length,        time,          t.mean_time / time - 1, t.time_error / time, t.time_5,
          t.time_95, t.mixing_length, t.mean_strain, t.tip_passes,           t.share_over_tip};
}

}  // namespace

StripGrid grid_for(const ElementShape& shape, int across) {
  // chosen for 64 cells and scaled from there, so that all grids of one shape are alike and their errors fall together
  constexpr int base = 64;
  const double dx = (pi - std::acos(shape.centre / shape.bore)) * shape.bore / base;
  const auto cells = [&](double length, int unit) {
    return std::max(unit, static_cast<int>(std::lround(length / dx / unit)) * unit) * across / base;
  };
  return {.across = across,
          .nip = std::max(16, across / 4),
          .rows_per_disc = std::max(4, (cells(shape.disc_width, 4) + 1) / 2 * 2),
          .rows = shape.kind == ElementKind::conveying ? cells(shape.lead / shape.starts, 8) : 8};
}

ElementOutcome solve_element(const ElementShape& shape, const ElementGrids& grids, const Progress& progress) {
  const auto report = [&](double share) {
    if (progress.report) progress.report(share, "element");
  };
  ElementOutcome outcome;
  const auto coarse = newtonian(shape, grids.coarse, Run::endless, grids.turns, outcome, progress);
  if (!coarse) return outcome;
  report(0.05);
  const auto fine = newtonian(shape, grids.fine, Run::endless, grids.turns, outcome, progress);
  if (!fine) return outcome;
  report(0.2);
  ElementSolution s;
  s.shape = shape;
  const double ratio = static_cast<double>(grids.fine) / grids.coarse;
  const auto carried = [&](double a, double b) { return extrapolate(a, b, ratio, order_newtonian); };
  s.face_power = facing_power(shape);
  const bool neutral = shape.kind == ElementKind::kneading && std::abs(shape.stagger - pi / shape.starts) < 1e-5;
  const double A1 = neutral ? 0 : carried(coarse->A1, fine->A1), B = carried(coarse->B, fine->B),
               c = carried(coarse->c, fine->c);
  s.line = characteristics(A1, B, c + s.face_power);
  s.numerical = {neutral ? 0 : std::abs(fine->A1 / A1 - 1), std::abs(fine->B / B - 1), std::abs(fine->c / c - 1)};
  s.model = against_three_dimensions(shape), s.in_range = covered(shape);
  s.tip_power = fine->tip, s.nip_power = carried(coarse->nip, fine->nip), s.rates = fine->rates;
  s.balance = std::max(coarse->balance, fine->balance);
  s.iterations = std::max(coarse->iterations, fine->iterations), s.direct = coarse->direct + fine->direct;
  if (shape.kind == ElementKind::kneading) {
    const auto block = newtonian(shape, grids.coarse, Run::block, grids.turns, outcome, progress);
    if (!block) return outcome;
    const double grid_B = B / coarse->B, grid_A1 = neutral ? 0 : A1 / coarse->A1;  // as the endless run's errors
    s.block = characteristics(neutral ? 0 : block->A1 * grid_A1, block->B * grid_B,
                              block->c * c / coarse->c + s.face_power * (shape.discs - 1) / shape.discs);
    s.balance = std::max(s.balance, block->balance);
  }
  report(0.25);
  const auto rough = thinning_on(shape, grids.thinning_coarse, grids.thinning_turns, outcome, progress);
  if (!rough) return outcome;
  report(0.45);
  const auto smooth = thinning_on(shape, grids.thinning_fine, grids.thinning_turns, outcome, progress);
  if (!smooth) return outcome;
  s.thinning = extrapolate(*rough, *smooth, static_cast<double>(grids.thinning_fine) / grids.thinning_coarse);
  report(0.85);
  s.tracked = track(shape, A1, grids);
  report(1);
  outcome.solution = std::move(s);
  return outcome;
}

ElementUncertainty uncertainty(const ElementSolution& s) {
  const auto ends = [&](double endless, double block) {
    return s.block && endless != 0 ? std::abs(block / endless - 1) / 2 : 0.0;
  };
  const auto root = [](double a, double b, double c) { return std::sqrt(a * a + b * b + c * c); };
  const Characteristics block = s.block.value_or(s.line);
  return {root(s.numerical.A1, s.model.A1, ends(s.line.A1, block.A1)),
          root(s.numerical.B, s.model.B, ends(s.line.B, block.B)), root(s.numerical.power, s.model.power, 0)};
}

}  // namespace quern
