#pragma once
#include <vector>

#include "linear/strip_layout.hpp"
#include "linear/strip_system.hpp"
namespace quern::strip {

/// A column as seen from its neighbour. `from` is whether the link starts at the one who looks.
struct Side {
  int other, link;
  bool from;
};

/// What one coarse link spans: two fine links and the column between them, or a single fine link.
struct Interval {
  int left = 0, right = 0;            ///< fine columns that stay
  int middle = -1;                    ///< the fine column between them; -1 where there is none
  int left_link = 0, right_link = 0;  ///< the same where there is no column between
};

/// What becomes of a grid's rows in the next coarser one.
enum class Rows { halved, kept };

/// How the cells of one grid hang together, and how the next coarser grid lies in it. Junctions stay, and every second
/// column of a strand; a strand with an odd number of links ends with a coarse link as long as a fine one. Of the rows
/// every second stays, or all; an odd number of periodic rows leaves one coarse interval as short as a fine one.
struct StripLevel {
  /// @param stencil_of_nine  rows of neighbouring columns are joined across corners too
  StripLevel(const StripTopology& fine, Rows rows, bool stencil_of_nine);

  Rows rows;

  StripTopology topology, coarse_topology;
  SplitLayout cells, links, coarse_cells, coarse_link_cells;
  PlainLayout coarse_columns, coarse_links;
  bool stencil_of_nine;
  std::vector<std::vector<Side>> sides;   ///< of each column
  std::vector<StripTopology::Ends> coarse_ends;  ///< of each coarse link
  std::vector<Interval> intervals;        ///< of each coarse link
  std::vector<int> kept;                  ///< the fine column of each coarse one
  std::vector<char> even;                 ///< of each column: it stays
  std::vector<char> two_coloured;         ///< of each column: no cell of it touches one of its own colour
  bool odd_ring() const { return topology.periodic && topology.rows % 2 == 1; }
};

/// A symmetric operator Σ G (p_i - p_j) + ground_i p_i on a level. Arrays by link or by column, rows split; the value
/// at row k joins rows k and k + 1 where it is not level.
template <class T>
struct StripOperator {
  std::vector<T> across;  ///< (from, k) to (to, k)
  std::vector<T> rising;  ///< (from, k) to (to, k + 1); empty with five points
  std::vector<T> falling;  ///< (from, k + 1) to (to, k); empty with five points
  std::vector<T> along;  ///< k to k + 1 of a column
  std::vector<T> ground;
  std::vector<T> diagonal;  ///< sum of the above at a cell
  std::vector<T> inverse;  ///< 1/diagonal, 0 for a cell joined to nothing
};

/// Weights of a fine cell's coarse neighbours, by coarse column, or by coarse link for cells of a column between.
/// Rows halved: plain layout, index K is coarse row K, that is fine row 2K, or the odd row above it.
/// Rows kept: only `left` and `right`, for all rows, split as cells are.
template <class T>
struct StripWeights {
  std::vector<T> below, above;  ///< odd rows of columns that stay
  std::vector<T> left, right;  ///< even rows between
  std::vector<T> low_left, low_right, high_left, high_right;  ///< odd rows between
};

/// The same in single precision, places from `at` on.
void narrow(const std::vector<double>& from, std::vector<float>& to, std::size_t at, std::size_t count);

/// Fills `diagonal`, `inverse` and the copies at the ends from the conductances; `narrowed` is all but the ground in
/// single precision.
void complete(const StripLevel& level, StripOperator<double>& a, StripOperator<float>& narrowed);

/// 1/x, and 0 for what is not positive.
inline double inverse_or_zero(double x) { return (x > 0 ? 1.0 : 0.0) / (x > 0 ? x : 1.0); }

}  // namespace quern::strip
