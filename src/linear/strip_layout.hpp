#pragma once
#include <cstddef>
namespace quern::strip {

/// Where the rows of a column lie: even rows together, then odd ones, so that each half can be relaxed at once over
/// contiguous memory. Row k is at index k/2 of half k mod 2. Rows -1 and `rows` have places too: in a periodic strip
/// they hold copies of the last and the first row, otherwise zero.
class SplitLayout {
 public:
  SplitLayout(int columns, int rows)
      : columns_(columns), rows_(rows), blocks_((count(0) + lane - 1) / lane), half_(lane * (blocks_ + 1)) {}

  int columns() const { return columns_; }
  int rows() const { return rows_; }
  /// Rows in a half, 0 for even and 1 for odd.
  int count(int half) const { return (rows_ + 1 - half) / 2; }
  /// Rows in a half and the places that fill it up to whole vectors. Where results are multiplied by zero there, or not
  /// read, loops may run through them: short halves then take one step.
  int padded() const { return static_cast<int>(lane * blocks_); }
  /// Of the first row of a half.
  std::size_t at(int column, int half) const { return at_row(column, half); }
  std::size_t at_row(int column, int row) const {
    const int odd = row & 1;
    return static_cast<std::size_t>((2 * column + odd) * half_ + lane + (row >> 1));
  }
  /// From a cell of this half to the one a row higher.
  std::ptrdiff_t up(int half) const { return half == 0 ? half_ : 1 - half_; }
  /// From a cell of this half to the one a row lower.
  std::ptrdiff_t down(int half) const { return half == 0 ? half_ - 1 : -half_; }
  std::size_t size() const { return static_cast<std::size_t>(2 * (columns_ * half_ + lane)); }

 private:
  static constexpr std::ptrdiff_t lane = 8;  // a multiple of it keeps halves aligned, and makes room for the copies
  int columns_, rows_;
  std::ptrdiff_t blocks_, half_;
};

/// Columns of rows in their natural order, with room for a copy at either end.
class PlainLayout {
 public:
  PlainLayout(int columns, int rows)
      : columns_(columns), rows_(rows), stride_((rows + lane - 1) / lane * lane + lane) {}
  int rows() const { return rows_; }
  std::size_t at(int column) const { return static_cast<std::size_t>(column * stride_ + lane); }
  std::size_t size() const { return static_cast<std::size_t>((columns_ + 1) * stride_); }

 private:
  static constexpr std::ptrdiff_t lane = 8;
  int columns_, rows_;
  std::ptrdiff_t stride_;
};

/// The copies at a periodic column's ends; nothing when it is open.
template <class T>
void close(const SplitLayout& layout, bool periodic, T* values, int column) {
  if (!periodic) return;
  values[layout.at_row(column, -1)] = values[layout.at_row(column, layout.rows() - 1)];
  values[layout.at_row(column, layout.rows())] = values[layout.at_row(column, 0)];
}
template <class T>
void close(const PlainLayout& layout, bool periodic, T* values, int column) {
  if (!periodic) return;
  T* const v = values + layout.at(column);
  v[-1] = v[layout.rows() - 1];
  v[layout.rows()] = v[0];
}

}  // namespace quern::strip
