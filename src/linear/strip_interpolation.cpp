#include "linear/strip_interpolation.hpp"

namespace quern::strip {

/// The coefficients of a link: even rows first, then odd ones.
struct StripInterpolation::Link {
  const double *across, *across_odd;
  const double *rising, *rising_odd, *falling, *falling_odd;
};

StripInterpolation::Link StripInterpolation::link(int index) const {
  const std::size_t even = level_.links.at(index, 0), odd = level_.links.at(index, 1);
  if (!level_.stencil_of_nine) return {&a_.across[even], &a_.across[odd], nullptr, nullptr, nullptr, nullptr};
  return {&a_.across[even], &a_.across[odd], &a_.rising[even], &a_.rising[odd], &a_.falling[even], &a_.falling[odd]};
}

void StripInterpolation::find() {
  if (level_.rows == Rows::kept) {
    for (std::size_t i = 0; i < level_.intervals.size(); ++i)
      if (level_.intervals[i].middle >= 0) between_in_rows(i);
    return;
  }
  for (int c = 0; c < level_.coarse_topology.columns(); ++c) along_kept(c);
  for (std::size_t i = 0; i < level_.intervals.size(); ++i)
    if (level_.intervals[i].middle >= 0) {
      between(i);
      if (level_.odd_ring()) close_ring(i);
    }
}

/// Odd rows of a column that stays, between the even rows below and above.
void StripInterpolation::along_kept(int coarse) {
  const int column = level_.kept[static_cast<std::size_t>(coarse)], n = level_.cells.count(1);
  const std::size_t here = level_.cells.at(column, 1);
  const std::ptrdiff_t even = level_.cells.down(1);
  double *below = &w_.below[level_.coarse_columns.at(coarse)], *above = &w_.above[level_.coarse_columns.at(coarse)];
  const double *along = &a_.along[here], *along_even = &a_.along[here] + even, *diagonal = &a_.diagonal[here];
  std::vector<double> sideways(static_cast<std::size_t>(n));
  for (int k = 0; k < n; ++k) below[k] = along_even[k], above[k] = along[k];
  for (const Side& s : level_.sides[static_cast<std::size_t>(column)]) {
    const Link l = link(s.link);
    for (int k = 0; k < n; ++k) sideways[static_cast<std::size_t>(k)] += l.across_odd[k];
    if (!level_.stencil_of_nine) continue;
    const double *low = s.from ? l.falling : l.rising, *high = s.from ? l.rising_odd : l.falling_odd;
    for (int k = 0; k < n; ++k) below[k] += low[k], above[k] += high[k];
  }
  for (int k = 0; k < n; ++k) {
    const double share = inverse_or_zero(diagonal[k] - sideways[static_cast<std::size_t>(k)]);
    below[k] *= share, above[k] *= share;
  }
  if (level_.odd_ring()) below[n] = 0, above[n] = 1;  // what would be the odd row after the last is the first row
}

/// Every row of the column between two that stay, between its neighbours to either side.
void StripInterpolation::between_in_rows(std::size_t interval) {
  const Interval& i = level_.intervals[interval];
  const bool nine = level_.stencil_of_nine;
  const int index = static_cast<int>(interval);
  for (int h = 0; h < 2; ++h) {
    const std::size_t cell = level_.cells.at(i.middle, h), here = level_.coarse_link_cells.at(index, h);
    const std::size_t l = level_.links.at(i.left_link, h), r = level_.links.at(i.right_link, h);
    const std::ptrdiff_t down = level_.cells.down(h);
    const double *along = &a_.along[cell], *diagonal = &a_.diagonal[cell];
    const double *across_left = &a_.across[l], *across_right = &a_.across[r];
    double *left = &w_.left[here], *right = &w_.right[here];
    const int n = level_.cells.count(h);
    for (int k = 0; k < n; ++k) left[k] = across_left[k], right[k] = across_right[k];
    if (nine) {
      const double *rising_left = &a_.rising[l], *falling_left = &a_.falling[l];
      const double *rising_right = &a_.rising[r], *falling_right = &a_.falling[r];
      for (int k = 0; k < n; ++k) left[k] += falling_left[k] + rising_left[k + down];
      for (int k = 0; k < n; ++k) right[k] += rising_right[k] + falling_right[k + down];
    }
    for (int k = 0; k < n; ++k) {
      const double share = inverse_or_zero(diagonal[k] - along[k] - along[k + down]);
      left[k] *= share, right[k] *= share;
    }
  }
  close(level_.coarse_link_cells, level_.topology.periodic, w_.left.data(), index);
  close(level_.coarse_link_cells, level_.topology.periodic, w_.right.data(), index);
}

/// Cells of the column between two that stay.
void StripInterpolation::between(std::size_t interval) {
  const Interval& i = level_.intervals[interval];
  const bool nine = level_.stencil_of_nine;
  const SplitLayout& at = level_.cells;
  const std::size_t here = level_.coarse_links.at(static_cast<int>(interval));
  const std::size_t even = at.at(i.middle, 0), odd = at.at(i.middle, 1);
  const std::ptrdiff_t down = at.down(0);
  const Link a = link(i.left_link), b = link(i.right_link);
  double *left = &w_.left[here], *right = &w_.right[here];
  const double *along = &a_.along[even], *along_odd = &a_.along[odd], *diagonal = &a_.diagonal[even];
  for (int k = 0; k < at.count(0); ++k) {
    double to_left = a.across[k], to_right = b.across[k];
    if (nine) to_left += a.falling[k] + a.rising[k + down], to_right += b.rising[k] + b.falling[k + down];
    const double share = inverse_or_zero(diagonal[k] - along[k] - along[k + down]);
    left[k] = to_left * share, right[k] = to_right * share;
  }
  close(level_.coarse_links, level_.topology.periodic, w_.left.data(), static_cast<int>(interval));
  close(level_.coarse_links, level_.topology.periodic, w_.right.data(), static_cast<int>(interval));

  const StripTopology::Ends kept = level_.coarse_ends[interval];
  const std::size_t from = level_.coarse_columns.at(kept.from), to = level_.coarse_columns.at(kept.to);
  const double *below_from = &w_.below[from], *above_from = &w_.above[from], *below_to = &w_.below[to],
               *above_to = &w_.above[to], *inverse = &a_.inverse[odd];
  double *low_left = &w_.low_left[here], *low_right = &w_.low_right[here], *high_left = &w_.high_left[here],
         *high_right = &w_.high_right[here];
  for (int k = 0; k < at.count(1); ++k) {
    const double low = along[k], high = along_odd[k], to_left = a.across_odd[k], to_right = b.across_odd[k];
    double ll = low * left[k] + to_left * below_from[k], lr = low * right[k] + to_right * below_to[k];
    double hl = high * left[k + 1] + to_left * above_from[k], hr = high * right[k + 1] + to_right * above_to[k];
    if (nine) ll += a.rising[k], lr += b.falling[k], hl += a.falling_odd[k], hr += b.rising_odd[k];
    low_left[k] = ll * inverse[k], low_right[k] = lr * inverse[k];
    high_left[k] = hl * inverse[k], high_right[k] = hr * inverse[k];
  }
}

/// Past the last of an odd number of periodic rows comes the first row in place of an odd one.
void StripInterpolation::close_ring(std::size_t interval) {
  const std::size_t here = level_.coarse_links.at(static_cast<int>(interval));
  const auto last = here + static_cast<std::size_t>(level_.cells.count(1));
  w_.low_left[last] = w_.low_right[last] = 0;
  w_.high_left[last] = w_.left[here], w_.high_right[last] = w_.right[here];
}

}  // namespace quern::strip
