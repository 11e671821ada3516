#include "flow/thinning_flow.hpp"

#include <algorithm>
#include <atomic>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <numeric>
#include <thread>

#include "flow/strip_equations.hpp"
#include "linear/anderson.hpp"
#include "linear/strip_solver.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int anderson_depth = 3;
constexpr double inner_tolerance = 1e-8;
constexpr int most_passes = 80;

std::size_t index(int i) { return strip_index(i); }

/// One rotation: the strip for viscosity 1, and what the law makes of it.
class Snapshot {
 public:
  Snapshot(StripField base)
      : base_(std::move(base)),
        now_(base_),
        ends_(base_.topology.link_ends()),
        solver_(base_.topology),
        links_(base_.conductance.size()),
        mobility_(links_, 1.0),
        drag_(links_, 1.0),
        wall_(links_, 1.0),
        p_x_(links_),
        p_z_(links_),
        speed_(links_) {
    p_turn_.assign(index(base_.topology.unknowns()), 0.0), p_gradient_ = p_ = p_turn_;
    for (std::size_t i = 0; i < links_; ++i) speed_[i] = base_.link_speed(link_of(i));
  }

  void begin(const ThinningLaw& law) {
    ThinningProfiles fresh(static_cast<int>(links_), law);
    if (profiles_ && law_.n != 1 && !law.plateau && !law_.plateau)  // ln η goes as n - 1 at a given rate
      std::transform(profiles_->state().begin(), profiles_->state().end(), fresh.state().begin(),
                     [&](float x) { return static_cast<float>(x * (law.n - 1) / (law_.n - 1)); });
    profiles_.emplace(std::move(fresh));
    law_ = law;
    mixing_.emplace(profiles_->state().size(), anderson_depth);
  }

  /// Solves for turning and for the gradient with the viscosities as they stand.
  void solve() {
    profiles_->flow({mobility_, drag_, wall_});
    assemble();
    solver_.set(strip_system(now_));
    const bool turned = solver_.solve(drag_source(now_), p_turn_, inner_tolerance).converged;
    const bool pressed = solver_.solve(gradient_source(now_), p_gradient_, inner_tolerance).converged;
    throughput_ = axial_flow(now_, p_turn_, 0), passage_ = -axial_flow(now_, p_gradient_, 1);
    solved_ = turned && pressed;
  }
  bool solved() const { return solved_; }

  void advance(double G) {
    gradients(G);
    std::vector<float>& next = next_;
    next.resize(profiles_->state().size());
    profiles_->advance(loads(), next);
    mixing_->mix(profiles_->state(), next);
  }

  double throughput() const { return throughput_; }
  double passage() const { return passage_; }
  /// Power per length of sliding alone.
  double couette() const {
    return std::inner_product(wall_.begin(), wall_.end(), base_.shear.begin(), 0.0) / base_.length;
  }

  /// Adds power per length and rates of this snapshot. Within a link and along the axis the parts the profile at the
  /// middle of the link stands for are put right by what viscosity 1 has exactly, so that a Newtonian power is exact.
  void add_power(double G, double share, ThinningFlow& flow) {
    gradients(G);
    double volume = 0, mean = 0, square = 0, dissipation = 0, tip = 0;
    for (std::size_t i = 0; i < links_; ++i) {
      const ColumnFigures c = profiles_->figures(static_cast<int>(i), {base_.depth[i], speed_[i], p_x_[i], p_z_[i]});
      const double A = base_.area[i], h = base_.depth[i], M = h * h * h / 12 * mobility_[i],
                   dp = p_x_[i] * A / base_.row;
      const double couette = wall_[i] * (base_.shear[i] - speed_[i] * speed_[i] / h * A);
      const double across = now_.conductance[i] * dp * dp + now_.drag_loss[i] - M * p_x_[i] * p_x_[i] * A;
      const double here = c.dissipation * A + couette + across - M * p_z_[i] * p_z_[i] * A;
      dissipation += here, tip += wall_[i] * base_.tip_shear[i];
      volume += h * A, mean += h * A * c.mean_rate, square += h * A * c.rms_rate * c.rms_rate;
    }
    dissipation += along_dissipation(G);
    flow.power += share * (dissipation / base_.length + (throughput_ - passage_ * G) * G);
    flow.tip_power += share * tip / base_.length;
    flow.mean_rate += share * mean / volume, flow.rms_rate += share * square / volume;
  }

 private:
  int link_of(std::size_t i) const { return static_cast<int>(i) / base_.topology.rows; }

  ColumnLoads loads() const { return {base_.depth, speed_, p_x_, p_z_}; }

  /// Conductances and sources of the strip with each link's viscosity. Drag is seen from the screw, where a lobe's barrel
  /// drags what the screw does not; in the nip what is more than half the sliding flow is added.
  void assemble() {
    for (std::size_t i = 0; i < links_; ++i) {
      now_.conductance[i] = base_.conductance[i] * mobility_[i];
      const bool lobe = link_of(i) < 2 * base_.lobe_links;
      const double d = 2 - drag_[i], h = base_.depth[i];
      now_.drag[i] =
          lobe ? base_.drag[i] * d : base_.drag[i] - base_.row * (drag_[i] - 1) * (speed_[i] - 2 * pi * h) * h / 2;
      now_.drag_loss[i] = base_.drag_loss[i] * (lobe ? d * d : 1) / mobility_[i];
    }
    const int rows = base_.topology.rows;
    for (int c = 0; c < base_.topology.columns(); ++c)
      for (int k = 0; k < rows; ++k) {
        const double a = of_column(c, k), b = of_column(c, (k + 1) % rows);
        now_.along[index(c * rows + k)] = base_.along[index(c * rows + k)] * 2 * a * b / (a + b);
        now_.axial[index(c * rows + k)] = base_.axial[index(c * rows + k)] * a;
      }
  }

  /// Mean mobility of the links beside a column.
  double of_column(int c, int k) const {
    const std::vector<int>& beside = beside_column()[index(c)];
    double sum = 0;
    for (const int l : beside) sum += mobility_[index(l * base_.topology.rows + k)];
    return sum / static_cast<double>(beside.size());
  }

  const std::vector<std::vector<int>>& beside_column() const {
    if (beside_.empty()) {
      beside_.resize(index(base_.topology.columns()));
      for (int l = 0; l < base_.topology.links(); ++l)
        beside_[index(ends_[index(l)].from)].push_back(l), beside_[index(ends_[index(l)].to)].push_back(l);
    }
    return beside_;
  }

  /// At the middle of each link, of the pressures p + G z.
  void gradients(double G) {
    const int rows = base_.topology.rows;
    for (std::size_t i = 0; i < p_.size(); ++i) p_[i] = p_turn_[i] + G * p_gradient_[i];
    const std::vector<double> axial = axial_gradient(now_, p_, G);
    for (std::size_t i = 0; i < links_; ++i) {
      const auto [from, to] = ends_[index(link_of(i))];
      const auto k = i % index(rows), a = index(from * rows) + k, b = index(to * rows) + k;
      p_x_[i] = (p_[b] - p_[a]) * base_.row / base_.area[i];
      p_z_[i] = (axial[a] + axial[b]) / 2;
    }
  }

  double along_dissipation(double G) const {
    const int rows = base_.topology.rows;
    double sum = 0;
    for (int c = 0; c < base_.topology.columns(); ++c)
      for (int k = 0; k < rows; ++k) {
        const auto here = index(c * rows + k), next = index(c * rows + (k + 1) % rows);
        const double dp = p_[next] - p_[here] + G * base_.row;
        sum += now_.along[here] * dp * dp;
      }
    return sum;
  }

  StripField base_, now_;
  std::vector<StripTopology::Ends> ends_;
  StripSolver solver_;
  std::size_t links_;
  std::vector<double> mobility_, drag_, wall_, p_x_, p_z_, speed_, p_turn_{}, p_gradient_{}, p_{};
  std::vector<float> next_{};
  mutable std::vector<std::vector<int>> beside_{};
  std::optional<ThinningProfiles> profiles_{};
  std::optional<AndersonMixing> mixing_{};
  ThinningLaw law_{};
  double throughput_ = 0, passage_ = 0;
  bool solved_ = false;
};

/// Greatest common part of two angles; no less than a 24th of the second.
double common_angle(double a, double b) {
  const double least = b / 24;
  while (b > least / 2) {
    const double rest = std::fmod(a + 1e-5, b) - 1e-5;
    a = b, b = rest < 1e-5 ? 0 : rest;
  }
  return std::max(a, least);
}

}  // namespace

std::vector<double> turns_of(const ElementShape& shape, Run run, int count) {
  if (shape.kind == ElementKind::conveying) return {0.2};
  const double half = pi / shape.starts, span = run == Run::endless ? common_angle(shape.stagger, half) : half;
  std::vector<double> turns;
  for (int i = 0; i < count; ++i) turns.push_back((i + 0.5) / count * span);
  return turns;
}

struct ThinningStrip::Impl {
  std::vector<Snapshot> snapshots{};
  int threads = 1;

  /// Calls visit for every snapshot, on several threads.
  template <class F>
  void each(const F& visit) {
    std::atomic<std::size_t> next{0};
    const auto work = [&] {
      for (std::size_t i = next++; i < snapshots.size(); i = next++) visit(snapshots[i]);
    };
    std::vector<std::jthread> others;
    for (int t = 1; t < std::min<int>(threads, static_cast<int>(snapshots.size())); ++t) others.emplace_back(work);
    work();
  }
};

ThinningStrip::ThinningStrip(const ElementShape& shape, const StripGrid& grid, const StripModel& model, int turns,
                             int threads)
    : impl_(std::make_unique<Impl>()) {
  const StripFields fields(shape, grid, model, Run::endless);
  for (const double turn : turns_of(shape, Run::endless, turns)) impl_->snapshots.emplace_back(fields.at(turn));
  impl_->threads = threads;
}
ThinningStrip::~ThinningStrip() = default;

namespace {

/// What a pass leaves: its changes tell when to stop.
struct Sums {
  double turned = 0, passage = 0, couette = 0;
};

/// Relative; a throughput of next to nothing is measured by what the power could pump.
double change(const Sums& a, const Sums& b) {
  const double throughput = std::abs(a.turned) + 0.1 * std::sqrt(a.passage * a.couette);
  return std::max({std::abs(a.turned - b.turned) / throughput, std::abs(a.passage / b.passage - 1),
                   std::abs(a.couette / b.couette - 1)});
}

}  // namespace

ThinningFlow ThinningStrip::solve(const ThinningLaw& law, const StripDrive& drive, double tolerance, bool with_power) {
  std::vector<Snapshot>& all = impl_->snapshots;
  const double share = 1.0 / static_cast<double>(all.size());
  impl_->each([&](Snapshot& s) { s.begin(law); });
  ThinningFlow flow;
  Sums last{0, 1, 1};
  for (bool solved = true; solved && !flow.converged && flow.passes < most_passes;) {
    const bool first = flow.passes++ == 0;
    impl_->each([&](Snapshot& s) {
      if (!first) s.advance(flow.gradient);
      s.solve();
    });
    Sums sums;
    for (Snapshot& s : all) {
      solved &= s.solved();
      sums.turned += share * s.throughput(), sums.passage += share * s.passage(), sums.couette += share * s.couette();
    }
    flow.gradient = drive.is_throughput ? (sums.turned - drive.value) / sums.passage : drive.value;
    flow.throughput = drive.is_throughput ? drive.value : sums.turned - sums.passage * flow.gradient;
    flow.change = change(sums, last), last = sums;
    flow.converged = solved && flow.change < tolerance;
  }
  if (!with_power) return flow;
  for (Snapshot& s : all) s.add_power(flow.gradient, share, flow);
  flow.rms_rate = std::sqrt(flow.rms_rate);
  return flow;
}

}  // namespace quern
