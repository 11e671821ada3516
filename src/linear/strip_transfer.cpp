#include "linear/strip_transfer.hpp"

#include <algorithm>

namespace quern::strip {

StripTransfer::StripTransfer(const StripLevel& level, const StripOperator<float>& a, const StripWeights<float>& w,
                             bool by_colours)
    : level_(level),
      a_(a),
      w_(w),
      by_colours_(by_colours),
      plain_(level.coarse_columns.size()),
      even_(static_cast<std::size_t>(level.cells.padded())),
      odd_(even_.size() + 1) {}

void StripTransfer::set_by_colours(bool by_colours) {
  by_colours_ = by_colours;
  std::fill(even_.begin(), even_.end(), 0.0F);
  std::fill(odd_.begin(), odd_.end(), 0.0F);
}

bool StripTransfer::last_colour(int column, int half) const {
  const auto c = static_cast<std::size_t>(column);
  if (!by_colours_) return false;
  if (level_.stencil_of_nine) return !level_.even[c] && half == 1;
  return level_.two_coloured[c] && half == (level_.even[c] ? 1 : 0);
}

void StripTransfer::residual(const std::vector<float>& x, const std::vector<float>& b, int column, int half) {
  const std::size_t here = level_.cells.at(column, half);
  const std::ptrdiff_t up = level_.cells.up(half), down = level_.cells.down(half);
  const float *v = &x[here], *right = &b[here], *along = &a_.along[here], *diagonal = &a_.diagonal[here];
  float* const t = half == 0 ? even_.data() : odd_.data();
  const int n = level_.cells.padded();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k)
    t[k] = right[k] - diagonal[k] * v[k] + along[k] * v[k + up] + along[k + down] * v[k + down];
  for (const Side& s : level_.sides[static_cast<std::size_t>(column)]) {
    const std::size_t link = level_.links.at(s.link, half);
    const float *other = &x[level_.cells.at(s.other, half)], *across = &a_.across[link];
    if (!level_.stencil_of_nine) {
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) t[k] += across[k] * other[k];
      continue;
    }
    const float *rising = &a_.rising[link], *falling = &a_.falling[link];
    const float *higher = s.from ? rising : falling, *lower = s.from ? falling : rising;
#pragma GCC ivdep
    for (int k = 0; k < n; ++k)
      t[k] += across[k] * other[k] + higher[k] * other[k + up] + lower[k + down] * other[k + down];
  }
  if (half == 1) odd_[static_cast<std::size_t>(level_.cells.count(1))] = 0;  // past the last row
}

void StripTransfer::add(float* to, const float* weight, const float* part) const {
  const int n = level_.coarse_topology.rows;
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) to[k] += weight[k] * part[k];
}

/// To the coarse row above each; above the last comes the first when periodic.
void StripTransfer::add_above(float* to, const float* weight, const float* part) const {
  const int n = level_.coarse_topology.rows - 1;
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) to[k + 1] += weight[k] * part[k];
  if (level_.topology.periodic) to[0] += weight[n] * part[n];
}

void StripTransfer::from_kept(int coarse) {
  const std::size_t here = level_.coarse_columns.at(coarse);
  const int column = level_.kept[static_cast<std::size_t>(coarse)];
  float* const to = &plain_[here];
  const float* const even = even_.data();
  if (!last_colour(column, 0))
    for (int k = 0; k < level_.coarse_topology.rows; ++k) to[k] += even[k];
  if (last_colour(column, 1)) return;
  add(to, &w_.below[here], odd_.data());
  add_above(to, &w_.above[here], odd_.data());
}

void StripTransfer::from_between(std::size_t interval) {
  const std::size_t here = level_.coarse_links.at(static_cast<int>(interval));
  const int column = level_.intervals[interval].middle;
  float *const left = &plain_[level_.coarse_columns.at(level_.coarse_ends[interval].from)],
               *const right = &plain_[level_.coarse_columns.at(level_.coarse_ends[interval].to)];
  if (!last_colour(column, 0)) {
    add(left, &w_.left[here], even_.data());
    add(right, &w_.right[here], even_.data());
  }
  if (last_colour(column, 1)) return;
  add(left, &w_.low_left[here], odd_.data());
  add(right, &w_.low_right[here], odd_.data());
  add_above(left, &w_.high_left[here], odd_.data());
  add_above(right, &w_.high_right[here], odd_.data());
}

void StripTransfer::restrict_residual(const std::vector<float>& x, const std::vector<float>& b,
                                      std::vector<float>& coarse) {
  if (level_.rows == Rows::kept) return restrict_in_rows(x, b, coarse);
  std::fill(plain_.begin(), plain_.end(), 0.0F);
  const int columns = level_.coarse_topology.columns();
  const auto residuals = [&](int column) {
    for (int h = 0; h < 2; ++h)
      if (!last_colour(column, h)) residual(x, b, column, h);
  };
  for (int c = 0; c < columns; ++c) residuals(level_.kept[static_cast<std::size_t>(c)]), from_kept(c);
  for (std::size_t i = 0; i < level_.intervals.size(); ++i)
    if (level_.intervals[i].middle >= 0) residuals(level_.intervals[i].middle), from_between(i);
  for (int c = 0; c < columns; ++c)
    for (int h = 0; h < 2; ++h) {
      const float* const source = &plain_[level_.coarse_columns.at(c)] + h;
      float* const target = &coarse[level_.coarse_cells.at(c, h)];
      const std::ptrdiff_t n = level_.coarse_cells.count(h);
      for (std::ptrdiff_t k = 0; k < n; ++k) target[k] = source[2 * k];
    }
}

void StripTransfer::prolong(const std::vector<float>& coarse, std::vector<float>& x) {
  if (level_.rows == Rows::kept) return prolong_in_rows(coarse, x);
  const int columns = level_.coarse_topology.columns();
  const bool periodic = level_.topology.periodic;
  const int evens = level_.cells.count(0), odds = level_.cells.count(1);
  for (int c = 0; c < columns; ++c) {
    const std::size_t here = level_.coarse_columns.at(c);
    float* const y = &plain_[here];
    for (int h = 0; h < 2; ++h) {
      const float* const source = &coarse[level_.coarse_cells.at(c, h)];
      const int n = level_.coarse_cells.count(h);
      for (int k = 0; k < n; ++k) y[2 * k + h] = source[k];
    }
    close(level_.coarse_columns, periodic, plain_.data(), c);
    const int column = level_.kept[static_cast<std::size_t>(c)];
    float *const even = &x[level_.cells.at(column, 0)], *const odd = &x[level_.cells.at(column, 1)];
    if (!last_colour(column, 0))
      for (int k = 0; k < evens; ++k) even[k] += y[k];
    const float *below = &w_.below[here], *above = &w_.above[here];
    if (!last_colour(column, 1))
#pragma GCC ivdep
      for (int k = 0; k < odds; ++k) odd[k] += below[k] * y[k] + above[k] * y[k + 1];
    close(level_.cells, periodic, x.data(), column);
  }
  for (std::size_t i = 0; i < level_.intervals.size(); ++i) {
    const int column = level_.intervals[i].middle;
    if (column < 0) continue;
    const std::size_t here = level_.coarse_links.at(static_cast<int>(i));
    const float *a = &plain_[level_.coarse_columns.at(level_.coarse_ends[i].from)],
                *b = &plain_[level_.coarse_columns.at(level_.coarse_ends[i].to)];
    float *const even = &x[level_.cells.at(column, 0)], *const odd = &x[level_.cells.at(column, 1)];
    const float *left = &w_.left[here], *right = &w_.right[here];
    if (!last_colour(column, 0))
#pragma GCC ivdep
      for (int k = 0; k < evens; ++k) even[k] += left[k] * a[k] + right[k] * b[k];
    const float *ll = &w_.low_left[here], *lr = &w_.low_right[here], *hl = &w_.high_left[here],
                *hr = &w_.high_right[here];
    if (!last_colour(column, 1))
#pragma GCC ivdep
      for (int k = 0; k < odds; ++k) odd[k] += ll[k] * a[k] + lr[k] * b[k] + hl[k] * a[k + 1] + hr[k] * b[k + 1];
    close(level_.cells, periodic, x.data(), column);
  }
}

void StripTransfer::restrict_in_rows(const std::vector<float>& x, const std::vector<float>& b,
                                     std::vector<float>& coarse) {
  for (std::size_t c = 0; c < level_.kept.size(); ++c)
    for (int h = 0; h < 2; ++h) {
      float* const target = &coarse[level_.coarse_cells.at(static_cast<int>(c), h)];
      const int n = level_.cells.count(h);
      if (last_colour(level_.kept[c], h)) {
        std::fill_n(target, n, 0.0F);
        continue;
      }
      residual(x, b, level_.kept[c], h);
      std::copy_n(h == 0 ? even_.data() : odd_.data(), n, target);
    }
  for (std::size_t i = 0; i < level_.intervals.size(); ++i) {
    const int column = level_.intervals[i].middle;
    if (column < 0) continue;
    for (int h = 0; h < 2; ++h) {
      if (last_colour(column, h)) continue;
      residual(x, b, column, h);
      const std::size_t here = level_.coarse_link_cells.at(static_cast<int>(i), h);
      const float *left = &w_.left[here], *right = &w_.right[here], *t = h == 0 ? even_.data() : odd_.data();
      float *const from = &coarse[level_.coarse_cells.at(level_.coarse_ends[i].from, h)],
                   *const to = &coarse[level_.coarse_cells.at(level_.coarse_ends[i].to, h)];
      const int n = level_.cells.count(h);
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) from[k] += left[k] * t[k];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) to[k] += right[k] * t[k];
    }
  }
}

void StripTransfer::prolong_in_rows(const std::vector<float>& coarse, std::vector<float>& x) const {
  const bool periodic = level_.topology.periodic;
  for (std::size_t c = 0; c < level_.kept.size(); ++c) {
    const int column = level_.kept[c];
    for (int h = 0; h < 2; ++h) {
      if (last_colour(column, h)) continue;
      const float* const y = &coarse[level_.coarse_cells.at(static_cast<int>(c), h)];
      float* const v = &x[level_.cells.at(column, h)];
      const int n = level_.cells.count(h);
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] += y[k];
    }
    close(level_.cells, periodic, x.data(), column);
  }
  for (std::size_t i = 0; i < level_.intervals.size(); ++i) {
    const int column = level_.intervals[i].middle;
    if (column < 0) continue;
    for (int h = 0; h < 2; ++h) {
      if (last_colour(column, h)) continue;
      const std::size_t here = level_.coarse_link_cells.at(static_cast<int>(i), h);
      const float *left = &w_.left[here], *right = &w_.right[here];
      const float *from = &coarse[level_.coarse_cells.at(level_.coarse_ends[i].from, h)],
                  *to = &coarse[level_.coarse_cells.at(level_.coarse_ends[i].to, h)];
      float* const v = &x[level_.cells.at(column, h)];
      const int n = level_.cells.count(h);
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] += left[k] * from[k] + right[k] * to[k];
    }
    close(level_.cells, periodic, x.data(), column);
  }
}

}  // namespace quern::strip
