#pragma once
#include <memory>

#include "linear/strip_system.hpp"
namespace quern {

/// Solves strip systems by conjugate gradients around a multigrid cycle, in time proportional to the number of cells.
/// One per thread: its memory is taken once and used again by every system of the topology.
///
/// A system without ground is singular: b less its mean is solved for, and p has mean zero. Where the iteration stalls
/// the sparse Cholesky answers, and the report says so. Asked for more than doubles can hold, where |A| |p| is far
/// above |b|, it returns what they hold and calls that converged; `residual` tells. Negative or non-finite
/// conductances, arrays of a wrong size or a right-hand side that is not finite leave p as it was and are reported as
/// not converged, with an infinite residual.
/// Method and limits: docs/theory/strip-solver.md.
class StripSolver {
 public:
  explicit StripSolver(const StripTopology& topology);
  ~StripSolver();
  StripSolver(StripSolver&&) noexcept;
  StripSolver& operator=(StripSolver&&) noexcept;

  void set(const StripSystem& system);
  /// @param b          shape (columns, rows)
  /// @param p          where to start and, afterwards, the answer; shape (columns, rows)
  /// @param tolerance  of |b - A p| / |b|, computed from p at the end
  StripReport solve(std::span<const double> b, std::span<double> p, double tolerance, int most_iterations = 60);

  std::size_t bytes() const;  ///< of arrays held, once a system is set

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace quern
