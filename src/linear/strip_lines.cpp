#include "linear/strip_lines.hpp"

#include <algorithm>

namespace quern::strip {
namespace {

/// A pivot that is nothing but round-off belongs to a line that floats; its value is held at zero.
double inverse_pivot(double pivot, double diagonal) { return pivot > 1e-13 * diagonal ? 1 / pivot : 0.0; }

/// x += Σ G x_other over the neighbouring columns; across the corners only, or level too.
template <bool level_too>
void add_sides(const StripLevel& level, const StripOperator<float>& a, std::vector<float>& x, float* sum, int column,
               int half) {
  const std::ptrdiff_t up = level.cells.up(half), down = level.cells.down(half);
  const int n = level.cells.count(half);
  for (const Side& s : level.sides[static_cast<std::size_t>(column)]) {
    const std::size_t link = level.links.at(s.link, half);
    const float *other = &x[level.cells.at(s.other, half)], *across = &a.across[link];
    if constexpr (level_too) {
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) sum[k] += across[k] * other[k];
    }
    if (!level.stencil_of_nine) continue;
    const float *higher = s.from ? &a.rising[link] : &a.falling[link],
                *lower = s.from ? &a.falling[link] : &a.rising[link];
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) sum[k] += higher[k] * other[k + up] + lower[k + down] * other[k + down];
  }
}

}  // namespace

// ---- along a column ----------------------------------------------------------------------------------------------

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
    add_sides<true>(level_, a_, x, &x[cell], column, h);
    for (int k = 0; k < at.count(h); ++k) line_[static_cast<std::size_t>(2 * k + h)] = x[cell + static_cast<std::size_t>(k)];
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

// ---- around the barrel -------------------------------------------------------------------------------------------

void RowLines::factor(const StripOperator<double>& a) {
  const SplitLayout& at = level_.cells;
  const int junctions = level_.topology.junctions;
  next_.resize(at.size()), first_.resize(at.size()), inverse_.resize(at.size());
  const SplitLayout one(1, at.rows());
  junctions_.assign(corner(junctions, 0), std::vector<float>(one.size()));
  std::vector<double> dense(corner(junctions, 0)), diagonal(static_cast<std::size_t>(junctions));
  for (int row = 0; row < at.rows(); ++row) {
    std::fill(dense.begin(), dense.end(), 0.0);
    for (int j = 0; j < junctions; ++j)
      dense[corner(j, j)] = diagonal[static_cast<std::size_t>(j)] = a.diagonal[at.at_row(j, row)];
    const auto couple = [&](int i, int j, double g) {
      dense[corner(i, j)] -= g, dense[corner(j, i)] -= g;  // twice on the diagonal, where a strand returns to itself
    };
    int column = junctions, link = 0;
    for (const Strand& s : level_.topology.strands) {
      double to_first = a.across[at.at_row(link, row)], carried = 0;
      for (int i = 0; i < s.columns; ++i, ++column) {
        const std::size_t cell = at.at_row(column, row);
        const double up = a.across[at.at_row(link + i + 1, row)];
        const double inverse = inverse_pivot(a.diagonal[cell] - carried, a.diagonal[cell]);
        next_[cell] = static_cast<float>(up * inverse);
        first_[cell] = static_cast<float>(to_first * inverse);
        inverse_[cell] = static_cast<float>(inverse);
        carried = up * up * inverse;
        dense[corner(s.from, s.from)] -= to_first * to_first * inverse;
        to_first *= up * inverse;
      }
      dense[corner(s.to, s.to)] -= carried;
      couple(s.from, s.to, to_first);
      link += s.columns + 1;
    }
    for (int j = 0; j < junctions; ++j) {
      const double inverse = inverse_pivot(dense[corner(j, j)], diagonal[static_cast<std::size_t>(j)]);
      junctions_[corner(j, j)][one.at_row(0, row)] = static_cast<float>(inverse);
      for (int i = j + 1; i < junctions; ++i) {
        const double factor = dense[corner(i, j)] * inverse;
        junctions_[corner(i, j)][one.at_row(0, row)] = static_cast<float>(factor);
        for (int k = j + 1; k < junctions; ++k) dense[corner(i, k)] -= factor * dense[corner(j, k)];
      }
    }
  }
}

void RowLines::load(std::vector<float>& x, const std::vector<float>& r, int column, int half) const {
  const std::size_t here = level_.cells.at(column, half);
  const std::ptrdiff_t up = level_.cells.up(half), down = level_.cells.down(half);
  const float *right = &r[here], *along = &a_.along[here];
  float* const v = &x[here];
  const int n = level_.cells.count(half);
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) v[k] = right[k] + along[k] * v[k + up] + along[k + down] * v[k + down];
  add_sides<false>(level_, a_, x, v, column, half);
}

void RowLines::relax(std::vector<float>& x, const std::vector<float>& r, int half) {
  const SplitLayout& at = level_.cells;
  const int n = at.count(half);
  if (n == 0) return;
  for (int c = 0; c < at.columns(); ++c) load(x, r, c, half);
  int end = level_.topology.junctions;
  for (const Strand& s : level_.topology.strands) {
    const int first = end;
    end += s.columns;
    float* const from = &x[at.at(s.from, half)];
    for (int c = first; c < end; ++c) {
      const std::size_t here = at.at(c, half);
      const float *v = &x[here], *next = &next_[here], *back = &first_[here];
      float* const to = &x[at.at(c + 1 < end ? c + 1 : s.to, half)];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) to[k] += next[k] * v[k];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) from[k] += back[k] * v[k];
    }
  }
  solve_junctions(x, half);
  for (std::size_t i = level_.topology.strands.size(); i-- > 0;) {
    const Strand& s = level_.topology.strands[i];
    const int first = end - s.columns;
    const float* const from = &x[at.at(s.from, half)];
    for (int c = end - 1; c >= first; --c) {
      const std::size_t here = at.at(c, half);
      const float *next = &next_[here], *back = &first_[here], *inverse = &inverse_[here];
      const float* const to = &x[at.at(c + 1 < end ? c + 1 : s.to, half)];
      float* const v = &x[here];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] = inverse[k] * v[k] + next[k] * to[k] + back[k] * from[k];
    }
    end = first;
  }
  for (int c = 0; c < at.columns(); ++c) close(at, level_.topology.periodic, x.data(), c);
}

void RowLines::solve_junctions(std::vector<float>& x, int half) const {
  const SplitLayout& at = level_.cells;
  const int junctions = level_.topology.junctions, n = at.count(half);
  const auto factor = [&](int i, int j) { return &junctions_[corner(i, j)][at.at(0, half)]; };
  for (int j = 0; j < junctions; ++j)
    for (int i = j + 1; i < junctions; ++i)
      for (int k = 0; k < n; ++k) (&x[at.at(i, half)])[k] -= factor(i, j)[k] * (&x[at.at(j, half)])[k];
  for (int j = junctions - 1; j >= 0; --j) {
    float* const v = &x[at.at(j, half)];
    for (int k = 0; k < n; ++k) v[k] *= factor(j, j)[k];
    for (int i = j + 1; i < junctions; ++i)
      for (int k = 0; k < n; ++k) v[k] -= factor(i, j)[k] * (&x[at.at(i, half)])[k];
  }
}

void RowLines::forward(std::vector<float>& x, const std::vector<float>& r) {
  std::fill(x.begin(), x.end(), 0.0F);
  relax(x, r, 0), relax(x, r, 1);
}

void RowLines::backward(std::vector<float>& x, const std::vector<float>& r) { relax(x, r, 1), relax(x, r, 0); }

}  // namespace quern::strip
