#pragma once
#include <span>
#include <vector>
namespace quern {

/// Columns of cells between two junctions, side by side. Links join neighbours, the junctions included.
struct StripStrand {
  int from = 0, to = 0;  ///< junctions; the same one twice for a ring
  int columns = 0;       ///< without the junctions
};

/// How the cells of an unwound barrel hang together: columns of `rows` cells, neighbours joined row by row.
/// Columns are numbered junctions first, then strand by strand; links strand by strand, columns + 1 each, from `from`
/// to `to`. A ring is one junction with one strand from it to itself; the figure-eight with its nip is two junctions
/// (the cusps) joined by three strands.
struct StripTopology {
  int rows = 0;
  bool periodic = false;  ///< the last row is followed by the first
  int junctions = 1;
  std::vector<StripStrand> strands{};
  int columns() const;
  int links() const;
  int unknowns() const { return columns() * rows; }
  struct Ends {
    int from, to;
  };
  /// The two columns of every link, shape (links).
  std::vector<Ends> link_ends() const;
  friend bool operator==(const StripTopology& a, const StripTopology& b);
};

/// Five-point equations Σ G (p_i - p_j) + ground_i p_i = b_i of a strip. Arrays are column by column, rows running
/// fastest: shape (columns, rows) or (links, rows). All conductances are ≥ 0. With no ground anywhere the pressure is
/// known but for a constant: b must then sum to zero, and the solution with zero mean is meant.
struct StripSystem {
  StripTopology topology{};
  std::vector<double> link{};    ///< between the two columns of a link, shape (links, rows)
  std::vector<double>
      along{};   ///< from row k to k + 1 of a column, shape (columns, rows); the last to row 0, 0 if not periodic
  std::vector<double> ground{};  ///< to a known pressure outside, shape (columns, rows)
};

/// What flows out of each cell, Σ G (p_i - p_j) + ground_i p_i, shape (columns, rows).
std::vector<double> outflow(const StripSystem& system, std::span<const double> p);

/// Who answered, and how well.
struct StripReport {
  int iterations = 0;         ///< of conjugate gradients; 0 for a direct solution
  double residual = 0;        ///< |b - A p| / |b|, computed from p itself
  bool direct = false;        ///< the sparse Cholesky answered
  bool converged = false;
};

}  // namespace quern
