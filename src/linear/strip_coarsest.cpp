#include "linear/strip_coarsest.hpp"

#include <algorithm>
#include <numeric>

namespace quern::strip {

StripCoarsest::StripCoarsest(const StripTopology& topology)
    : topology_(topology),
      cells_(topology.columns(), topology.rows),
      size_(topology.unknowns()),
      matrix_(index(size_, 0)),
      inverse_(matrix_.size()),
      right_(static_cast<std::size_t>(size_)),
      answer_(right_.size()) {}

void StripCoarsest::assemble(const StripOperator<double>& a) {
  std::fill(matrix_.begin(), matrix_.end(), 0.0);
  const int rows = topology_.rows;
  const auto cell = [&](int column, int row) { return column * rows + row % rows; };
  const auto join = [&](int i, int j, double g) {
    if (i == j || g == 0) return;
    matrix_[index(i, i)] += g, matrix_[index(j, j)] += g;
    matrix_[index(i, j)] -= g, matrix_[index(j, i)] -= g;
  };
  const std::vector<StripTopology::Ends> ends = topology_.link_ends();
  for (int k = 0; k < rows; ++k) {
    for (int l = 0; l < topology_.links(); ++l) {
      const std::size_t at = cells_.at_row(l, k);
      const StripTopology::Ends e = ends[static_cast<std::size_t>(l)];
      join(cell(e.from, k), cell(e.to, k), a.across[at]);
      if (a.rising.empty()) continue;
      join(cell(e.from, k), cell(e.to, k + 1), a.rising[at]);
      join(cell(e.from, k + 1), cell(e.to, k), a.falling[at]);
    }
    for (int c = 0; c < topology_.columns(); ++c) {
      const std::size_t at = cells_.at_row(c, k);
      join(cell(c, k), cell(c, k + 1), a.along[at]);
      matrix_[index(cell(c, k), cell(c, k))] += a.ground[at];
    }
  }
}

/// Gauss-Jordan on the diagonal, which needs no other pivots in a symmetric matrix that is positive. A pivot of nothing
/// but round-off belongs to cells that float: the value is held at zero there.
void StripCoarsest::sweep_inverse() {
  std::vector<double> diagonal(static_cast<std::size_t>(size_));
  for (int i = 0; i < size_; ++i) diagonal[static_cast<std::size_t>(i)] = matrix_[index(i, i)];
  for (int p = 0; p < size_; ++p) {
    double* const row = &matrix_[index(p, 0)];
    const double pivot = row[p];
    const bool held = !(pivot > 1e-13 * diagonal[static_cast<std::size_t>(p)]);
    const double inverse = held ? 0 : 1 / pivot;
    for (int i = 0; i < size_; ++i) {
      if (i == p) continue;
      double* const other = &matrix_[index(i, 0)];
      const double factor = other[p] * inverse;
      for (int j = 0; j < size_; ++j) other[j] -= factor * row[j];
      other[p] = -factor;
    }
    for (int j = 0; j < size_; ++j) row[j] *= inverse;
    row[p] = inverse;
  }
}

void StripCoarsest::invert(const StripOperator<double>& a, bool floating) {
  floating_ = floating;
  assemble(a);
  if (floating) {
    int strongest = 0;
    for (int i = 1; i < size_; ++i)
      if (matrix_[index(i, i)] > matrix_[index(strongest, strongest)]) strongest = i;
    matrix_[index(strongest, strongest)] *= 2;
  }
  sweep_inverse();
  for (int i = 0; i < size_; ++i)
    for (int j = 0; j < size_; ++j)
      inverse_[index(i, j)] = static_cast<float>(0.5 * (matrix_[index(i, j)] + matrix_[index(j, i)]));
}

void StripCoarsest::take_mean_off(std::vector<float>& v) const {
  const double mean = std::accumulate(v.begin(), v.end(), 0.0) / size_;
  for (float& x : v) x = static_cast<float>(x - mean);
}

void StripCoarsest::solve(const std::vector<float>& r, std::vector<float>& x) {
  std::size_t cell = 0;
  for (int c = 0; c < topology_.columns(); ++c)
    for (int k = 0; k < topology_.rows; ++k) right_[cell++] = r[cells_.at_row(c, k)];
  if (floating_) take_mean_off(right_);
  std::fill(answer_.begin(), answer_.end(), 0.0F);
  for (int i = 0; i < size_; ++i) {
    const float* const row = &inverse_[index(i, 0)];
    const float value = right_[static_cast<std::size_t>(i)];
    float* const y = answer_.data();
#pragma GCC ivdep
    for (int j = 0; j < size_; ++j) y[j] += value * row[j];
  }
  if (floating_) take_mean_off(answer_);
  cell = 0;
  for (int c = 0; c < topology_.columns(); ++c)
    for (int k = 0; k < topology_.rows; ++k) x[cells_.at_row(c, k)] = answer_[cell++];
}

}  // namespace quern::strip
