#include "linear/strip_gradients.hpp"

#include <cmath>
#include <limits>

namespace quern::strip {
namespace {

/// Sums in eight parts, so that the compiler may add them side by side and every build adds in the same order.
class Lanes {
 public:
  template <class F>
  void add(int n, F&& term) {
    int k = 0;
    for (; k + width <= n; k += width)
      for (int i = 0; i < width; ++i) part_[i] += term(k + i);
    for (; k < n; ++k) part_[k % width] += term(k);
  }
  double total() const {
    return ((part_[0] + part_[4]) + (part_[1] + part_[5])) + ((part_[2] + part_[6]) + (part_[3] + part_[7]));
  }

 private:
  static constexpr int width = 8;
  double part_[width] = {};
};

}  // namespace

ConjugateGradients::ConjugateGradients(StripMultigrid& multigrid)
    : multigrid_(multigrid), b_(multigrid.level().cells.size()), x_(b_), r_(b_), p_(b_), q_(b_) {}

double ConjugateGradients::norm(const std::vector<double>& values) const {
  const SplitLayout& at = multigrid_.level().cells;
  Lanes sum;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const double* const v = &values[at.at(c, h)];
      sum.add(at.count(h), [&](int k) { return v[k] * v[k]; });
    }
  return std::sqrt(sum.total());
}

/// ε (|A| |x| + |b|), where a row of |A| sums to twice the diagonal.
double ConjugateGradients::round_off() const {
  const SplitLayout& at = multigrid_.level().cells;
  const std::vector<double>& diagonal = multigrid_.finest().diagonal;
  Lanes sum;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = at.at(c, h);
      const double *x = &x_[here], *b = &b_[here], *d = &diagonal[here];
      sum.add(at.count(h), [&](int k) { return std::pow(2 * d[k] * std::abs(x[k]) + std::abs(b[k]), 2); });
    }
  return std::numeric_limits<double>::epsilon() * std::sqrt(sum.total());
}

void ConjugateGradients::take_mean_off(std::vector<double>& values) const {
  const SplitLayout& at = multigrid_.level().cells;
  Lanes sum;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const double* const v = &values[at.at(c, h)];
      sum.add(at.count(h), [&](int k) { return v[k]; });
    }
  const double mean = sum.total() / multigrid_.level().topology.unknowns();
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      double* const v = &values[at.at(c, h)];
      for (int k = 0; k < at.count(h); ++k) v[k] -= mean;
    }
}

/// y = A x of one column, as differences of pressure, so that an equal pressure drives no flow at all.
/// @returns the column's part of x · y
double ConjugateGradients::apply(const std::vector<double>& x, std::vector<double>& y, int column) const {
  const StripLevel& level = multigrid_.level();
  const StripOperator<double>& a = multigrid_.finest();
  Lanes sum;
  for (int h = 0; h < 2; ++h) {
    const std::size_t here = level.cells.at(column, h);
    const std::ptrdiff_t up = level.cells.up(h), down = level.cells.down(h);
    const double *v = &x[here], *along = &a.along[here], *ground = &a.ground[here];
    double* const out = &y[here];
    const int n = level.cells.count(h);
#pragma GCC ivdep
    for (int k = 0; k < n; ++k)
      out[k] = along[k] * (v[k] - v[k + up]) + along[k + down] * (v[k] - v[k + down]) + ground[k] * v[k];
    for (const Side& s : level.sides[static_cast<std::size_t>(column)]) {
      const double *other = &x[level.cells.at(s.other, h)], *across = &a.across[level.links.at(s.link, h)];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) out[k] += across[k] * (v[k] - other[k]);
    }
    sum.add(n, [&](int k) { return v[k] * out[k]; });
  }
  return sum.total();
}

double ConjugateGradients::find_residual() {
  const StripLevel& level = multigrid_.level();
  Lanes sum;
  for (int c = 0; c < level.cells.columns(); ++c) close(level.cells, level.topology.periodic, x_.data(), c);
  for (int c = 0; c < level.cells.columns(); ++c) {
    apply(x_, q_, c);
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = level.cells.at(c, h);
      const double *b = &b_[here], *q = &q_[here];
      double* const r = &r_[here];
      sum.add(level.cells.count(h), [&](int k) { return r[k] = b[k] - q[k], r[k] * r[k]; });
    }
  }
  return norm_ = std::sqrt(sum.total());
}

/// z answers r.
ConjugateGradients::Products ConjugateGradients::precondition() {
  const SplitLayout& at = multigrid_.level().cells;
  std::vector<float>& right = multigrid_.right();
  const double scale = 1 / norm_;
  for (std::size_t i = 0; i < r_.size(); ++i) right[i] = static_cast<float>(scale * r_[i]);
  multigrid_.cycle();
  Lanes rz, qz;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = at.at(c, h);
      const float* const z = &multigrid_.answer()[here];
      const double *r = &r_[here], *q = &q_[here];
      rz.add(at.count(h), [&](int k) { return r[k] * static_cast<double>(z[k]); });
      qz.add(at.count(h), [&](int k) { return q[k] * static_cast<double>(z[k]); });
    }
  return {norm_ * rz.total(), norm_ * qz.total()};
}

/// p = z + β p. @returns p · A p
double ConjugateGradients::turn(double beta) {
  const StripLevel& level = multigrid_.level();
  const std::vector<float>& z = multigrid_.answer();
  for (int c = 0; c < level.cells.columns(); ++c) {
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = level.cells.at(c, h);
      const int n = level.cells.count(h);
      for (int k = 0; k < n; ++k) {
        const std::size_t i = here + static_cast<std::size_t>(k);
        p_[i] = norm_ * static_cast<double>(z[i]) + beta * p_[i];
      }
    }
    close(level.cells, level.topology.periodic, p_.data(), c);
  }
  double sum = 0;
  for (int c = 0; c < level.cells.columns(); ++c) sum += apply(p_, q_, c);
  return sum;
}

/// x += α p, r -= α A p. @returns |r|
double ConjugateGradients::advance(double alpha) {
  const StripLevel& level = multigrid_.level();
  Lanes sum;
  for (int c = 0; c < level.cells.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = level.cells.at(c, h);
      double *const x = &x_[here], *const r = &r_[here];
      const double *p = &p_[here], *q = &q_[here];
      sum.add(level.cells.count(h), [&](int k) {
        x[k] += alpha * p[k];
        r[k] -= alpha * q[k];
        return r[k] * r[k];
      });
    }
  return std::sqrt(sum.total());
}

int ConjugateGradients::run(double goal, int most_iterations) {
  double last = 0, alpha = 0;
  for (int i = 0; i < most_iterations; ++i) {
    if (norm_ <= goal) return i;
    const auto [rz, qz] = precondition();
    const double slope = turn(i == 0 ? 0 : -alpha * qz / last);
    if (!(rz > 0) || !(slope > 0) || !std::isfinite(rz / slope)) return i;
    alpha = rz / slope;
    norm_ = advance(alpha);
    last = rz;
  }
  return most_iterations;
}

}  // namespace quern::strip
