#pragma once
#include <vector>

#include "io/svg.hpp"
namespace quern {

/// Values at the crossings of a rectangular grid, straight in between. Two equal coordinates make a jump.
struct GridValues {
  std::vector<double> x, y;  ///< not falling
  std::vector<double> value;  ///< finite, shape (y, x)
  double at(std::size_t i, std::size_t j) const { return value[j * x.size() + i]; }
};

/// Lines on which the value is `level`. Along each the greater values lie to the left, y counted upwards. A line ends
/// at the border of the grid or where it began.
std::vector<std::vector<Dot>> contour_lines(const GridValues& grid, double level);

/// Outlines of where the value is at least `level`, all closed, greater values to the left; the border belongs to them.
std::vector<std::vector<Dot>> outlines_above(const GridValues& grid, double level);

/// Leaves out dots that lie within `tolerance` of the line through those that stay.
/// Source: Douglas & Peucker (1973), Cartographica 10, 112.
std::vector<Dot> simplified(const std::vector<Dot>& line, double tolerance);

}  // namespace quern
