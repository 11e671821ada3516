#pragma once
#include <memory>

#include "linear/strip_system.hpp"
namespace quern {

/// Sparse Cholesky of a strip system: the oracle of the tests and the fallback of the iterative solver.
/// The ordering is found once per topology; `factor` may be called again and again with new conductances.
class StripCholesky {
 public:
  explicit StripCholesky(const StripTopology& topology);
  ~StripCholesky();
  StripCholesky(StripCholesky&&) noexcept;
  StripCholesky& operator=(StripCholesky&&) noexcept;

  /// @returns whether the matrix is positive definite; a system without ground is, once one pressure is held
  bool factor(const StripSystem& system);
  /// p for one right-hand side, refined once. Without ground: of zero mean, for b less its mean.
  std::vector<double> solve(std::span<const double> b) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace quern
