#include "linear/strand_lines.hpp"

namespace quern::strip {
namespace {

std::size_t index(int i) { return static_cast<std::size_t>(i); }

}  // namespace

StrandLines::StrandLines(const StripLevel& level, const StripOperator<float>& a)
    : level_(level), a_(a), covered_(index(level.cells.columns()), 0) {}

/// One cell in twenty couples across more than four times as much as along.
bool StrandLines::is_stiff(const StripOperator<double>& a, const Stiff& strand) const {
  constexpr double much = 4, share = 0.05;
  int stiff = 0, cells = 0;
  for (int i = 0; i < strand.columns; ++i)
    for (int row = 0; row < level_.cells.rows(); ++row) {
      const double across = a.across[level_.links.at_row(strand.link + i, row)] +
                            a.across[level_.links.at_row(strand.link + i + 1, row)],
                   along = 2 * a.along[level_.cells.at_row(strand.first + i, row)];
      ++cells, stiff += across > much * along ? 1 : 0;
    }
  return stiff > share * cells;
}

void StrandLines::set(const StripOperator<double>& a) {
  stiff_.clear();
  covered_.assign(covered_.size(), 0);
  if (level_.odd_ring()) return;  // the first and the last row are of one half, and touch
  int first = level_.topology.junctions, link = 0;
  for (const StripStrand& s : level_.topology.strands) {
    const Stiff strand{first, s.columns, link};
    first += s.columns, link += s.columns + 1;
    if (s.columns == 0 || !is_stiff(a, strand)) continue;
    inverse_.resize(level_.cells.size());
    factor(a, strand);
    stiff_.push_back(strand);
    for (int i = 0; i < s.columns; ++i) covered_[index(strand.first + i)] = 1;
  }
}

void StrandLines::factor(const StripOperator<double>& a, const Stiff& strand) {
  for (int row = 0; row < level_.cells.rows(); ++row) {
    double last = 0;  // inverse pivot of the column before
    for (int i = 0; i < strand.columns; ++i) {
      const double before = i > 0 ? a.across[level_.links.at_row(strand.link + i, row)] : 0;
      last = inverse_or_zero(a.diagonal[level_.cells.at_row(strand.first + i, row)] - before * before * last);
      inverse_[level_.cells.at_row(strand.first + i, row)] = static_cast<float>(last);
    }
  }
}

/// x ← r and all that reaches the column but from its strand's own cells in the same row.
void StrandLines::gather(std::vector<float>& x, const std::vector<float>& r, int column, int half, bool first,
                         bool last) const {
  const std::size_t here = level_.cells.at(column, half);
  const std::ptrdiff_t up = level_.cells.up(half), down = level_.cells.down(half);
  const float *right = &r[here], *along = &a_.along[here];
  float* const v = &x[here];
  const int n = level_.cells.padded();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) v[k] = right[k] + along[k] * v[k + up] + along[k + down] * v[k + down];
  const std::vector<Side>& sides = level_.sides[index(column)];
  for (std::size_t i = 0; i < 2; ++i) {
    const Side& s = sides[i];
    const std::size_t link = level_.links.at(s.link, half);
    const float* const other = &x[level_.cells.at(s.other, half)];
    if (s.from ? last : first) {
      const float* const across = &a_.across[link];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] += across[k] * other[k];
    }
    if (!level_.stencil_of_nine) continue;
    const float *rising = &a_.rising[link], *falling = &a_.falling[link];
    const float *higher = s.from ? rising : falling, *lower = s.from ? falling : rising;
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) v[k] += higher[k] * other[k + up] + lower[k + down] * other[k + down];
  }
}

void StrandLines::relax(std::vector<float>& x, const std::vector<float>& r, const Stiff& strand, int half) const {
  const int n = level_.cells.padded();
  for (int i = 0; i < strand.columns; ++i) {
    const int column = strand.first + i;
    gather(x, r, column, half, i == 0, i + 1 == strand.columns);
    if (i == 0) continue;
    const std::size_t last = level_.cells.at(column - 1, half);
    const float *across = &a_.across[level_.links.at(strand.link + i, half)], *inverse = &inverse_[last], *y = &x[last];
    float* const v = &x[level_.cells.at(column, half)];
#pragma GCC ivdep
    for (int k = 0; k < n; ++k) v[k] += across[k] * inverse[k] * y[k];
  }
  for (int i = strand.columns - 1; i >= 0; --i) {
    const std::size_t here = level_.cells.at(strand.first + i, half);
    const float* const inverse = &inverse_[here];
    float* const v = &x[here];
    if (i + 1 < strand.columns) {
      const float* const across = &a_.across[level_.links.at(strand.link + i + 1, half)];
      const float* const next = &x[level_.cells.at(strand.first + i + 1, half)];
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] = inverse[k] * (v[k] + across[k] * next[k]);
    } else {
#pragma GCC ivdep
      for (int k = 0; k < n; ++k) v[k] *= inverse[k];
    }
    close(level_.cells, level_.topology.periodic, x.data(), strand.first + i);
  }
}

void StrandLines::forward(std::vector<float>& x, const std::vector<float>& r) const {
  for (const int half : {0, 1})
    for (const Stiff& strand : stiff_) relax(x, r, strand, half);
}

void StrandLines::backward(std::vector<float>& x, const std::vector<float>& r) const {
  for (const int half : {1, 0})
    for (const Stiff& strand : stiff_) relax(x, r, strand, half);
}

}  // namespace quern::strip
