#pragma once
#include <iterator>
#include <span>
#include <utility>

namespace quern {

/// Which interval of a table holds x: the index of its end, 1 to n - 1; the first and the last go on outside.
/// @param table at least two rows, their keys rising @param key what of a row x is compared with
template <class Table, class Key>
std::size_t interval_end(const Table& table, double x, Key key) {
  std::size_t i = 1;
  while (i + 1 < std::size(table) && x > key(table[i])) ++i;
  return i;
}

/// y at x on straight lines through points (x, y); the first and the last line go on outside. One point: its y.
/// @param points at least one, x rising
double straight_lines(std::span<const std::pair<double, double>> points, double x);

}  // namespace quern
