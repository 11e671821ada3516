#include "linear/strip_gradients.hpp"

#include <algorithm>
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
    : multigrid_(multigrid), b_(multigrid.level().cells.size()), x_(b_), r_(b_), q_(b_), p_(b_.size()) {}

void ConjugateGradients::set() {
  const SplitLayout& at = multigrid_.level().cells;
  const std::vector<double>& ground = multigrid_.finest().ground;
  grounds_.clear(), first_.clear();
  for (int c = 0; c < at.columns(); ++c) {
    first_.push_back(grounds_.size());
    for (int h = 0; h < 2; ++h)
      for (std::size_t i = at.at(c, h), k = 0; k < static_cast<std::size_t>(at.count(h)); ++i, ++k)
        if (ground[i] > 0) grounds_.push_back({i, ground[i]});
  }
  first_.push_back(grounds_.size());
}

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
template <class T>
double ConjugateGradients::apply(const std::vector<T>& x, std::vector<double>& y, int column) const {
  const StripLevel& level = multigrid_.level();
  const StripOperator<double>& a = multigrid_.finest();
  const auto difference = [](T from, T to) { return static_cast<double>(from) - static_cast<double>(to); };
  for (int h = 0; h < 2; ++h) {
    const std::size_t here = level.cells.at(column, h);
    const std::ptrdiff_t up = level.cells.up(h), down = level.cells.down(h);
    const T* const v = &x[here];
    const double* const along = &a.along[here];
    double* const out = &y[here];
    const int n = level.cells.padded();
#pragma GCC ivdep
    for (int k = 0; k < n; ++k)
      out[k] = along[k] * difference(v[k], v[k + up]) + along[k + down] * difference(v[k], v[k + down]);
    for (const Side& s : level.sides[static_cast<std::size_t>(column)]) {
      const T* const other = &x[level.cells.at(s.other, h)];
      const double* const across = &a.across[level.links.at(s.link, h)];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) out[k] += across[k] * difference(v[k], other[k]);
    }
  }
  const auto c = static_cast<std::size_t>(column);
  for (std::size_t g = first_[c]; g < first_[c + 1]; ++g)
    y[grounds_[g].cell] += grounds_[g].conductance * static_cast<double>(x[grounds_[g].cell]);
  Lanes sum;
  for (int h = 0; h < 2; ++h) {
    const std::size_t here = level.cells.at(column, h);
    const T* const v = &x[here];
    const double* const out = &y[here];
    sum.add(level.cells.count(h), [&](int k) { return static_cast<double>(v[k]) * out[k]; });
  }
  return sum.total();
}

void ConjugateGradients::start_from_zero() {
  std::fill(x_.begin(), x_.end(), 0.0);
  r_ = b_;
  norm_ = norm(b_);
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
  multigrid_.cycle();
  Lanes rz, qz;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = at.at(c, h);
      const float *z = &multigrid_.answer()[here], *r = &multigrid_.right()[here];
      const double* const q = &q_[here];
      const int n = at.count(h);
      rz.add(n, [&](int k) { return static_cast<double>(r[k]) * static_cast<double>(z[k]); });
      qz.add(n, [&](int k) { return q[k] * static_cast<double>(z[k]); });
    }
  return {rz.total(), qz.total()};
}

void ConjugateGradients::turn(double beta, int column) {
  const SplitLayout& at = multigrid_.level().cells;
  for (int h = 0; h < 2; ++h) {
    const std::size_t here = at.at(column, h);
    const float* const z = &multigrid_.answer()[here];
    float* const p = &p_[here];
    const auto b = static_cast<float>(beta);
    const int n = at.count(h);
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) p[k] = z[k] + b * p[k];
  }
  close(at, multigrid_.level().topology.periodic, p_.data(), column);
}

/// p = z + β p, then q = A p in each column as soon as its neighbours are done, while they are in cache. @returns p · q
double ConjugateGradients::turn(double beta) {
  const StripTopology& t = multigrid_.level().topology;
  for (int j = 0; j < t.junctions; ++j) turn(beta, j);
  double sum = 0;
  int first = t.junctions;
  for (const StripStrand& s : t.strands) {
    for (int i = 0; i <= s.columns; ++i) {
      if (i < s.columns) turn(beta, first + i);
      if (i > 0) sum += apply(p_, q_, first + i - 1);
    }
    first += s.columns;
  }
  for (int j = 0; j < t.junctions; ++j) sum += apply(p_, q_, j);
  return sum;
}

/// x += α p, r -= α q. @returns |r|
double ConjugateGradients::advance(double alpha) {
  const SplitLayout& at = multigrid_.level().cells;
  const double step = alpha / scale_;
  Lanes sum;
  for (int c = 0; c < at.columns(); ++c)
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = at.at(c, h);
      double *const x = &x_[here], *const r = &r_[here];
      float* const right = &multigrid_.right()[here];
      const float* const p = &p_[here];
      const double* const q = &q_[here];
      sum.add(at.count(h), [&](int k) {
        x[k] += step * static_cast<double>(p[k]);
        r[k] -= step * q[k];
        right[k] = static_cast<float>(scale_ * r[k]);
        return r[k] * r[k];
      });
    }
  return std::sqrt(sum.total());
}

int ConjugateGradients::run(double goal, int most_iterations) {
  scale_ = 1 / norm_;
  std::vector<float>& right = multigrid_.right();
  for (std::size_t i = 0; i < r_.size(); ++i) right[i] = static_cast<float>(scale_ * r_[i]);
  std::fill(p_.begin(), p_.end(), 0.0F);
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
