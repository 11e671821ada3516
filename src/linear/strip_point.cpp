#include "linear/strip_point.hpp"

#include <algorithm>
#include <array>

namespace quern::strip {
namespace {

/// A neighbouring column and its joints, seen from a half of a column.
struct Neighbour {
  const float *x, *across, *higher, *lower;
};

template <bool nine>
Neighbour neighbour(const StripLevel& level, const StripOperator<float>& a, const float* x, const Side& s, int half) {
  const std::size_t link = level.links.at(s.link, half);
  const float* const other = x + level.cells.at(s.other, half);
  if constexpr (!nine) return {other, &a.across[link], nullptr, nullptr};
  const float *rising = &a.rising[link], *falling = &a.falling[link];
  return {other, &a.across[link], s.from ? rising : falling, s.from ? falling : rising};
}

}  // namespace

/// A column between two others: all of its neighbours in one loop.
template <bool nine>
void PointRelaxation::relax_strand_column(std::vector<float>& x, const std::vector<float>& r, int column,
                                          int half) const {
  const std::size_t here = level_.cells.at(column, half);
  const std::ptrdiff_t up = level_.cells.up(half), down = level_.cells.down(half);
  const std::vector<Side>& sides = level_.sides[static_cast<std::size_t>(column)];
  const Neighbour p = neighbour<nine>(level_, a_, x.data(), sides[0], half),
                  q = neighbour<nine>(level_, a_, x.data(), sides[1], half);
  const float *right = &r[here], *inverse = &a_.inverse[here], *along = &a_.along[here];
  float* const v = &x[here];
  const int n = level_.cells.padded();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) {
    float sum = right[k] + along[k] * v[k + up] + along[k + down] * v[k + down];
    sum += p.across[k] * p.x[k] + q.across[k] * q.x[k];
    if constexpr (nine) {
      sum += p.higher[k] * p.x[k + up] + p.lower[k + down] * p.x[k + down];
      sum += q.higher[k] * q.x[k + up] + q.lower[k + down] * q.x[k + down];
    }
    v[k] = inverse[k] * sum;
  }
  close(level_.cells, level_.topology.periodic, x.data(), column);
}

template <bool nine>
void PointRelaxation::relax(std::vector<float>& x, const std::vector<float>& r, int column, int half) const {
  const std::vector<Side>& sides = level_.sides[static_cast<std::size_t>(column)];
  if (sides.size() == 2) return relax_strand_column<nine>(x, r, column, half);
  const std::size_t here = level_.cells.at(column, half);
  const std::ptrdiff_t up = level_.cells.up(half), down = level_.cells.down(half);
  const float *right = &r[here], *inverse = &a_.inverse[here], *along = &a_.along[here];
  float* const v = &x[here];
  const int n = level_.cells.padded();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) v[k] = right[k] + along[k] * v[k + up] + along[k + down] * v[k + down];
  for (const Side& s : sides) {
    const Neighbour p = neighbour<nine>(level_, a_, x.data(), s, half);
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) {
      v[k] += p.across[k] * p.x[k];
      if constexpr (nine) v[k] += p.higher[k] * p.x[k + up] + p.lower[k + down] * p.x[k + down];
    }
  }
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) v[k] *= inverse[k];
  close(level_.cells, level_.topology.periodic, x.data(), column);
}

/// Cells whose neighbours are all zero yet.
void PointRelaxation::start(std::vector<float>& x, const std::vector<float>& r, int column, int half) const {
  if (!level_.two_coloured[static_cast<std::size_t>(column)]) return relax<false>(x, r, column, half);
  const std::size_t here = level_.cells.at(column, half);
  const float *right = &r[here], *inverse = &a_.inverse[here];
  float* const v = &x[here];
  const int n = level_.cells.padded();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) v[k] = inverse[k] * right[k];
  close(level_.cells, level_.topology.periodic, x.data(), column);
}

void PointRelaxation::clear(std::vector<float>& x, int column) const {
  const auto from = x.begin() + static_cast<std::ptrdiff_t>(level_.cells.at(column, 0)) - 1;
  std::fill(from, from + 2 * level_.cells.up(0), 0.0F);
}

/// The second colour of a column follows as soon as the first of its neighbours is done, while they are in cache.
void PointRelaxation::forward_two(std::vector<float>& x, const std::vector<float>& r) const {
  for (int c = 0; c < level_.cells.columns(); ++c) {
    if (skips(c)) clear(x, c);
    if (level_.two_coloured[static_cast<std::size_t>(c)]) continue;
    clear(x, c);
    for (const Side& s : level_.sides[static_cast<std::size_t>(c)]) clear(x, s.other);
  }
  const int junctions = level_.topology.junctions;
  for (int j = 0; j < junctions; ++j) start(x, r, j, 0);
  int first = junctions;
  for (const StripStrand& s : level_.topology.strands) {
    for (int i = 0; i <= s.columns && !skips(first, s.columns);
         ++i) {  // column i of the strand has index i + 1 along it
      if (i < s.columns) start(x, r, first + i, (i + 1) % 2);
      if (i > 0) relax<false>(x, r, first + i - 1, (i + 1) % 2);
    }
    first += s.columns;
  }
  for (int j = 0; j < junctions; ++j) relax<false>(x, r, j, 1);
}

void PointRelaxation::backward_two(std::vector<float>& x, const std::vector<float>& r) const {
  const int junctions = level_.topology.junctions;
  for (int j = junctions - 1; j >= 0; --j) relax<false>(x, r, j, 1);
  int end = level_.cells.columns();
  for (std::size_t s = level_.topology.strands.size(); s-- > 0;) {
    const int columns = level_.topology.strands[s].columns, first = end - columns;
    for (int i = columns - 1; i >= -1 && !skips(first, columns); --i) {
      if (i >= 0) relax<false>(x, r, first + i, i % 2);
      if (i + 1 < columns) relax<false>(x, r, first + i + 1, i % 2 == 0 ? 0 : 1);
    }
    end = first;
  }
  for (int j = junctions - 1; j >= 0; --j) relax<false>(x, r, j, 0);
}

void PointRelaxation::forward(std::vector<float>& x, const std::vector<float>& r) const {
  if (!level_.stencil_of_nine) return forward_two(x, r);
  std::fill(x.begin(), x.end(), 0.0F);
  const int columns = level_.cells.columns();
  for (const bool even : {true, false})
    for (int c = 0; c < columns; ++c)
      if ((level_.even[static_cast<std::size_t>(c)] != 0) == even && !skips(c))
        relax<true>(x, r, c, 0), relax<true>(x, r, c, 1);
}

void PointRelaxation::backward(std::vector<float>& x, const std::vector<float>& r) const {
  if (!level_.stencil_of_nine) return backward_two(x, r);
  for (const bool even : {false, true})
    for (int c = level_.cells.columns() - 1; c >= 0; --c)
      if ((level_.even[static_cast<std::size_t>(c)] != 0) == even && !skips(c))
        relax<true>(x, r, c, 1), relax<true>(x, r, c, 0);
}

}  // namespace quern::strip
