#include "linear/strip_solver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <optional>

#include "linear/strip_cholesky.hpp"
#include "linear/strip_gradients.hpp"

namespace quern {
namespace {

bool can_be(const StripTopology& t) {
  const auto fits = [&](const StripStrand& s) {
    return s.columns >= 0 && std::min(s.from, s.to) >= 0 && std::max(s.from, s.to) < t.junctions;
  };
  return t.rows > 0 && t.junctions > 0 && std::all_of(t.strands.begin(), t.strands.end(), fits);
}

/// Largest size of all; not finite where one of them is not. Eight at a time, as the processor likes it.
double largest(std::span<const double> v) {
  double most[8] = {}, spoilt[8] = {};
  const std::size_t whole = v.size() / 8 * 8;
  const auto look = [&](double x, std::size_t lane) {
    const double size = std::abs(x);
    most[lane] = size > most[lane] ? size : most[lane];
    spoilt[lane] += x * 0;  // of what is not finite that is not a number
  };
  for (std::size_t i = 0; i < whole; i += 8)
    for (std::size_t lane = 0; lane < 8; ++lane) look(v[i + lane], lane);
  for (std::size_t i = whole; i < v.size(); ++i) look(v[i], 0);
  return *std::max_element(most, most + 8) + std::accumulate(spoilt, spoilt + 8, 0.0);
}

/// Largest of all, if it has the size asked for and none is negative or not finite.
std::optional<double> largest_conductance(const std::vector<double>& v, int n) {
  if (v.size() != static_cast<std::size_t>(n)) return std::nullopt;
  bool negative = false;
  for (const double g : v) negative |= g < 0;
  const double most = largest(v);
  return negative || !std::isfinite(most) ? std::nullopt : std::optional(most);
}

/// The power of two next to 1/x: scaling by it loses nothing. 1 for zero.
double unit(double x) { return x > 0 ? std::ldexp(1.0, std::clamp(-std::ilogb(x), -1000, 1000)) : 1.0; }

}  // namespace

struct StripSolver::Impl {
  explicit Impl(const StripTopology& t) : topology(t), multigrid(t), gradients(multigrid) {}

  void load(const StripSystem& system);
  StripSystem system() const;
  double load_right(std::span<const double> b, double unit_of_b);
  double load_start(std::span<const double> p, double size);
  double iterate(double start, double goal, int most_iterations, int& iterations);
  double answer_directly(std::span<const double> b);
  double residual();
  void spread(std::span<const double> values, double factor, std::vector<double>& cells, int columns) const;
  void collect(const std::vector<double>& cells, double factor, std::span<double> values, int columns) const;

  StripTopology topology;
  strip::StripMultigrid multigrid;
  strip::ConjugateGradients gradients;
  std::unique_ptr<StripCholesky> cholesky;
  double scale = 1, right_scale = 1;  // conductances and right-hand sides are solved for times these
  bool usable = false, floating = false;
};

StripSolver::StripSolver(const StripTopology& topology)
    : impl_(can_be(topology) ? std::make_unique<Impl>(topology) : nullptr) {}
StripSolver::~StripSolver() = default;
StripSolver::StripSolver(StripSolver&&) noexcept = default;
StripSolver& StripSolver::operator=(StripSolver&&) noexcept = default;

// ---- between rows in order and even and odd ones ----------------------------------------------------------------

void StripSolver::Impl::spread(std::span<const double> values, double factor, std::vector<double>& cells,
                               int columns) const {
  const strip::SplitLayout& at = multigrid.level().cells;
  for (int c = 0; c < columns; ++c)
    for (int h = 0; h < 2; ++h) {
      const double* const source = values.data() + static_cast<std::ptrdiff_t>(c) * topology.rows + h;
      double* const target = &cells[at.at(c, h)];
      const std::ptrdiff_t n = at.count(h);
      for (std::ptrdiff_t k = 0; k < n; ++k) target[k] = factor * source[2 * k];
    }
}

void StripSolver::Impl::collect(const std::vector<double>& cells, double factor, std::span<double> values,
                                int columns) const {
  const strip::SplitLayout& at = multigrid.level().cells;
  for (int c = 0; c < columns; ++c)
    for (int h = 0; h < 2; ++h) {
      const double* const source = &cells[at.at(c, h)];
      double* const target = values.data() + static_cast<std::ptrdiff_t>(c) * topology.rows + h;
      const std::ptrdiff_t n = at.count(h);
      for (std::ptrdiff_t k = 0; k < n; ++k) target[2 * k] = factor * source[k];
    }
}

// ---- the matrix --------------------------------------------------------------------------------------------------

void StripSolver::set(const StripSystem& system) {
  if (!impl_) return;
  const StripTopology& t = impl_->topology;
  const auto link = largest_conductance(system.link, t.links() * t.rows);
  const auto along = largest_conductance(system.along, t.unknowns());
  const auto ground = largest_conductance(system.ground, t.unknowns());
  impl_->usable = system.topology == t && link && along && ground;
  if (!impl_->usable) return;
  impl_->floating = *ground == 0;
  impl_->scale = unit(std::max({*link, *along, *ground}));
  impl_->load(system);
}

void StripSolver::Impl::load(const StripSystem& system) {
  strip::StripOperator<double>& a = multigrid.finest();
  const strip::SplitLayout& at = multigrid.level().cells;
  spread(system.link, scale, a.across, topology.links());
  spread(system.along, scale, a.along, topology.columns());
  spread(system.ground, scale, a.ground, topology.columns());
  const std::vector<StripTopology::Ends> ends = topology.link_ends();
  for (int l = 0; l < topology.links(); ++l)
    if (ends[static_cast<std::size_t>(l)].from == ends[static_cast<std::size_t>(l)].to)
      for (int k = 0; k < topology.rows; ++k) a.across[at.at_row(l, k)] = 0;
  if (!topology.periodic || topology.rows == 1)
    for (int c = 0; c < topology.columns(); ++c) a.along[at.at_row(c, topology.rows - 1)] = 0;
  multigrid.set(floating);
  gradients.set();
}

/// As it was given, for the direct solver.
StripSystem StripSolver::Impl::system() const {
  const auto cells = static_cast<std::size_t>(topology.unknowns());
  StripSystem s{.topology = topology,
                .link = std::vector<double>(static_cast<std::size_t>(topology.links() * topology.rows)),
                .along = std::vector<double>(cells),
                .ground = std::vector<double>(cells)};
  const strip::StripOperator<double>& a = multigrid.finest();
  collect(a.across, 1 / scale, s.link, topology.links());
  collect(a.along, 1 / scale, s.along, topology.columns());
  collect(a.ground, 1 / scale, s.ground, topology.columns());
  return s;
}

// ---- one right-hand side -----------------------------------------------------------------------------------------

StripReport StripSolver::solve(std::span<const double> b, std::span<double> p, double tolerance, int most_iterations) {
  StripReport report{.residual = std::numeric_limits<double>::infinity()};
  const bool fits = impl_ && impl_->usable && b.size() == static_cast<std::size_t>(impl_->topology.unknowns()) &&
                    p.size() == b.size();
  const double most = fits ? largest(b) : 0.0;
  if (!fits || !std::isfinite(most)) return report;
  Impl& s = *impl_;
  const double size = s.load_right(b, unit(most));
  if (size == 0) {
    std::fill(p.begin(), p.end(), 0.0);
    return {.converged = true};
  }
  const double start = s.load_start(p, size);
  report.residual = s.iterate(start, tolerance * size, most_iterations, report.iterations) / size;
  if (!(report.residual <= tolerance)) {
    const std::vector<double> iterated = s.gradients.answer();
    const double residual = s.answer_directly(b) / size;
    report.direct = !(residual >= report.residual);
    if (report.direct) report.residual = residual;
    else s.gradients.answer() = iterated;
  }
  report.converged = report.residual <= std::max(tolerance, s.gradients.round_off() / size);
  if (std::isfinite(report.residual)) s.collect(s.gradients.answer(), s.scale / s.right_scale, p, s.topology.columns());
  return report;
}

/// @returns |b|, scaled; zero when nothing but round-off is left of it once its mean is off
double StripSolver::Impl::load_right(std::span<const double> b, double unit_of_b) {
  right_scale = unit_of_b;
  std::vector<double>& right = gradients.right();
  spread(b, right_scale, right, topology.columns());
  const double size = gradients.norm(right);
  if (!floating) return size;
  gradients.take_mean_off(right);
  const double left = gradients.norm(right);
  return left > 8 * std::numeric_limits<double>::epsilon() * size ? left : 0.0;
}

/// A start that is worse than none is dropped. @returns the residual's norm
double StripSolver::Impl::load_start(std::span<const double> p, double size) {
  if (largest(p) != 0) {
    spread(p, right_scale / scale, gradients.answer(), topology.columns());
    const double found = residual();
    if (found <= size) return found;
  }
  gradients.start_from_zero();
  return size;
}

double StripSolver::Impl::residual() {
  if (floating) gradients.take_mean_off(gradients.answer());
  return gradients.find_residual();
}

/// The residual carried along drifts from the true one by round-off, since every step rounds p. Where it does, a
/// correction is sought for the true residual and added in one step.
double StripSolver::Impl::iterate(double start, double goal, int most_iterations, int& iterations) {
  double now = start;
  std::vector<double>& x = gradients.answer();
  for (bool first = true; now > goal && iterations < most_iterations; first = false) {
    const std::vector<double> base = first ? std::vector<double>() : x;
    if (!first) std::fill(x.begin(), x.end(), 0.0);
    const double before = now;
    const int done = gradients.run(goal, most_iterations - iterations);
    for (std::size_t i = 0; i < base.size(); ++i) x[i] += base[i];
    iterations += done;
    now = residual();
    if (done == 0 || !(now < 0.5 * before)) break;
  }
  return now;
}

std::size_t StripSolver::bytes() const { return impl_ ? impl_->multigrid.bytes() + impl_->gradients.bytes() : 0; }

double StripSolver::Impl::answer_directly(std::span<const double> b) {
  if (!cholesky) cholesky = std::make_unique<StripCholesky>(topology);
  if (!cholesky->factor(system())) return std::numeric_limits<double>::infinity();
  spread(cholesky->solve(b), right_scale / scale, gradients.answer(), topology.columns());
  return residual();
}

}  // namespace quern
