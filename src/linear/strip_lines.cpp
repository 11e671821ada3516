#include "linear/strip_lines.hpp"

#include <algorithm>

namespace quern::strip {
namespace {

/// A pivot that is nothing but round-off belongs to a line that floats; its value is held at zero.
double inverse_pivot(double pivot, double diagonal) { return pivot > 1e-13 * diagonal ? 1 / pivot : 0.0; }

/// Adds Σ G x over the neighbouring columns.
void add_sides(const StripLevel& level, const StripOperator<float>& a, std::vector<float>& x, float* sum, int column,
               int half) {
  const std::ptrdiff_t up = level.cells.up(half), down = level.cells.down(half);
  const int n = level.cells.count(half);
  for (const Side& s : level.sides[static_cast<std::size_t>(column)]) {
    const std::size_t link = level.links.at(s.link, half);
    const float *other = &x[level.cells.at(s.other, half)], *across = &a.across[link];
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) sum[k] += across[k] * other[k];
    if (!level.stencil_of_nine) continue;
    const float *higher = s.from ? &a.rising[link] : &a.falling[link],
                *lower = s.from ? &a.falling[link] : &a.rising[link];
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) sum[k] += higher[k] * other[k + up] + lower[k + down] * other[k + down];
  }
}

}  // namespace

/// Elimination from the first row up. A ring's first row is also tied to the last, and so is each one after it.
void ColumnLines::factor(const StripOperator<double>& a) {
  const SplitLayout& at = level_.cells;
  const int rows = at.rows();
  const auto n = static_cast<std::size_t>(rows);
  const std::size_t all = n * static_cast<std::size_t>(at.columns());
  next_.resize(all), last_.resize(all), inverse_.resize(all), line_.resize(n);
  for (int c = 0; c < at.columns(); ++c) {
    const std::size_t here = n * static_cast<std::size_t>(c);
    double carried = 0, to_last = level_.topology.periodic ? a.along[at.at_row(c, -1)] : 0.0, taken_from_last = 0;
    for (int k = 0; k < rows; ++k) {
      const auto i = static_cast<std::size_t>(k);
      const std::size_t cell = at.at_row(c, k);
      const bool is_last = k == rows - 1;
      double up = is_last ? 0 : a.along[cell];
      if (k == rows - 2) up += to_last, to_last = 0;
      const double pivot = a.diagonal[cell] - carried - (is_last ? taken_from_last : 0);
      const double inverse = inverse_pivot(pivot, a.diagonal[cell]);
      next_[here + i] = static_cast<float>(up * inverse);
      last_[here + i] = is_last ? 0 : static_cast<float>(to_last * inverse);
      inverse_[here + i] = static_cast<float>(inverse);
      carried = up * up * inverse;
      taken_from_last += to_last * to_last * inverse;
      to_last *= up * inverse;
    }
  }
}

void ColumnLines::relax(std::vector<float>& x, const std::vector<float>& r, int column) {
  const SplitLayout& at = level_.cells;
  const int rows = at.rows();
  for (int h = 0; h < 2; ++h) {
    const std::size_t cell = at.at(column, h);
    std::copy_n(&r[cell], at.count(h), &x[cell]);
    add_sides(level_, a_, x, &x[cell], column, h);
    float* const line = line_.data() + h;
    for (std::ptrdiff_t k = 0; k < at.count(h); ++k) line[2 * k] = x[cell + static_cast<std::size_t>(k)];
  }
  const std::size_t here = static_cast<std::size_t>(rows) * static_cast<std::size_t>(column);
  const float *next = &next_[here], *last = &last_[here], *inverse = &inverse_[here];
  float* const v = line_.data();
  for (int k = 0; k + 1 < rows; ++k) v[k + 1] += next[k] * v[k];
  float sum = 0;
  for (int k = 0; k + 1 < rows; ++k) sum += last[k] * v[k];
  const float top = v[rows - 1] = inverse[rows - 1] * (v[rows - 1] + sum);
  for (int k = rows - 2; k >= 0; --k) v[k] = inverse[k] * v[k] + next[k] * v[k + 1] + last[k] * top;
  for (int h = 0; h < 2; ++h) {
    const std::size_t cell = at.at(column, h);
    for (int k = 0; k < at.count(h); ++k) x[cell + static_cast<std::size_t>(k)] = v[2 * k + h];
  }
  close(at, level_.topology.periodic, x.data(), column);
}

void ColumnLines::forward(std::vector<float>& x, const std::vector<float>& r) {
  std::fill(x.begin(), x.end(), 0.0F);
  for (const bool even : {true, false})
    for (int c = 0; c < level_.cells.columns(); ++c)
      if ((level_.even[static_cast<std::size_t>(c)] != 0) == even) relax(x, r, c);
}

void ColumnLines::backward(std::vector<float>& x, const std::vector<float>& r) {
  for (const bool even : {false, true})
    for (int c = level_.cells.columns() - 1; c >= 0; --c)
      if ((level_.even[static_cast<std::size_t>(c)] != 0) == even) relax(x, r, c);
}

}  // namespace quern::strip
