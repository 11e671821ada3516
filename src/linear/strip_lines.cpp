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

/// Junctions, which may touch each other and the ends of strands, are alone.
ColumnLines::ColumnLines(const StripLevel& level, const StripOperator<float>& a) : level_(level), a_(a) {
  const int junctions = level.topology.junctions;
  for (int j = 0; j < junctions; ++j) groups_.push_back({1, {j}});
  for (const bool even : {true, false}) {
    groups_.emplace_back();
    for (int c = junctions; c < level.cells.columns(); ++c) {
      if ((level.even[static_cast<std::size_t>(c)] != 0) != even) continue;
      if (groups_.back().count == lanes) groups_.emplace_back();
      Group& group = groups_.back();
      group.columns[static_cast<std::size_t>(group.count++)] = c;
    }
  }
}

void ColumnLines::factor(const StripOperator<double>& a) {
  const std::size_t each = static_cast<std::size_t>(level_.cells.rows()) * lanes;
  for (std::vector<float>* v : {&next_, &last_, &inverse_}) v->assign(each * groups_.size(), 0.0F);
  line_.assign(each, 0.0F);
  for (std::size_t g = 0; g < groups_.size(); ++g)
    for (std::size_t lane = 0; lane < static_cast<std::size_t>(groups_[g].count); ++lane)
      factor(a, groups_[g].columns[lane], g * each + lane);
}

/// Elimination from the first row up. A ring's first row is also tied to the last, and so is each one after it.
void ColumnLines::factor(const StripOperator<double>& a, int column, std::size_t first) {
  const SplitLayout& at = level_.cells;
  const int rows = at.rows();
  double carried = 0, to_last = level_.topology.periodic ? a.along[at.at_row(column, -1)] : 0.0, taken_from_last = 0;
  for (int k = 0; k < rows; ++k) {
    const std::size_t here = first + static_cast<std::size_t>(k) * lanes, cell = at.at_row(column, k);
    const bool is_last = k == rows - 1;
    double up = is_last ? 0 : a.along[cell];
    if (k == rows - 2) up += to_last, to_last = 0;
    const double pivot = a.diagonal[cell] - carried - (is_last ? taken_from_last : 0);
    const double inverse = inverse_pivot(pivot, a.diagonal[cell]);
    next_[here] = static_cast<float>(up * inverse);
    last_[here] = is_last ? 0 : static_cast<float>(to_last * inverse);
    inverse_[here] = static_cast<float>(inverse);
    carried = up * up * inverse;
    taken_from_last += to_last * to_last * inverse;
    to_last *= up * inverse;
  }
}

void ColumnLines::load(std::vector<float>& x, const std::vector<float>& r, int column, int lane) {
  for (int h = 0; h < 2; ++h) {
    const std::size_t cell = level_.cells.at(column, h);
    const std::ptrdiff_t n = level_.cells.count(h);
    std::copy_n(&r[cell], n, &x[cell]);
    add_sides(level_, a_, x, &x[cell], column, h);
    const float* const v = &x[cell];
    float* const line = line_.data() + h * lanes + lane;
    for (std::ptrdiff_t k = 0; k < n; ++k) line[2 * lanes * k] = v[k];
  }
}

void ColumnLines::store(std::vector<float>& x, int column, int lane) const {
  for (int h = 0; h < 2; ++h) {
    float* const v = &x[level_.cells.at(column, h)];
    const std::ptrdiff_t n = level_.cells.count(h);
    const float* const line = line_.data() + h * lanes + lane;
    for (std::ptrdiff_t k = 0; k < n; ++k) v[k] = line[2 * lanes * k];
  }
  close(level_.cells, level_.topology.periodic, x.data(), column);
}

void ColumnLines::relax(std::vector<float>& x, const std::vector<float>& r, std::size_t group) {
  const Group& g = groups_[group];
  for (int i = 0; i < g.count; ++i) load(x, r, g.columns[static_cast<std::size_t>(i)], i);
  const std::ptrdiff_t end = static_cast<std::ptrdiff_t>(level_.cells.rows()) * lanes, top = end - lanes;
  const std::size_t here = group * static_cast<std::size_t>(end);
  const float *next = &next_[here], *last = &last_[here], *inverse = &inverse_[here];
  float* const v = line_.data();
  float sum[lanes] = {};
  for (std::ptrdiff_t k = 0; k < top; k += lanes)
#pragma GCC ivdep
    for (std::ptrdiff_t i = 0; i < lanes; ++i) {
      v[k + lanes + i] += next[k + i] * v[k + i];
      sum[i] += last[k + i] * v[k + i];
    }
#pragma GCC ivdep
  for (std::ptrdiff_t i = 0; i < lanes; ++i) v[top + i] = inverse[top + i] * (v[top + i] + sum[i]);
  for (std::ptrdiff_t k = top - lanes; k >= 0; k -= lanes)
#pragma GCC ivdep
    for (std::ptrdiff_t i = 0; i < lanes; ++i)
      v[k + i] = inverse[k + i] * v[k + i] + next[k + i] * v[k + lanes + i] + last[k + i] * v[top + i];
  for (int i = 0; i < g.count; ++i) store(x, g.columns[static_cast<std::size_t>(i)], i);
}

void ColumnLines::forward(std::vector<float>& x, const std::vector<float>& r) {
  std::fill(x.begin(), x.end(), 0.0F);
  for (std::size_t g = 0; g < groups_.size(); ++g) relax(x, r, g);
}

void ColumnLines::backward(std::vector<float>& x, const std::vector<float>& r) {
  for (std::size_t g = groups_.size(); g-- > 0;) relax(x, r, g);
}

}  // namespace quern::strip
