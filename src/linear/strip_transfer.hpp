#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// What goes between a grid and the next coarser one: residuals down, r = Pᵀ (b - A x), and corrections up, x += P y.
class StripTransfer {
 public:
  /// @param half_done  after relaxation forward the second of two colours has no residual left, and relaxation backward
  ///                   begins by replacing it: neither needs to be passed on
  StripTransfer(const StripLevel& level, const StripOperator<float>& a, const StripWeights<float>& w, bool half_done);
  void restrict_residual(const std::vector<float>& x, const std::vector<float>& b, std::vector<float>& coarse);
  void prolong(const std::vector<float>& coarse, std::vector<float>& x);

 private:
  void residual(const std::vector<float>& x, const std::vector<float>& b, int column, int half);
  void restrict_in_rows(const std::vector<float>& x, const std::vector<float>& b, std::vector<float>& coarse);
  void prolong_in_rows(const std::vector<float>& coarse, std::vector<float>& x) const;
  void from_kept(int coarse, bool odd_too);
  void from_between(std::size_t interval, bool even_too);
  void add(float* to, const float* weight, const float* part) const;
  void add_above(float* to, const float* weight, const float* part) const;
  bool skips(int column) const { return half_done_ && level_.two_coloured[static_cast<std::size_t>(column)]; }

  const StripLevel& level_;
  const StripOperator<float>& a_;
  const StripWeights<float>& w_;
  bool half_done_;
  std::vector<StripTopology::Ends> ends_;
  std::vector<float> plain_;         // of the coarse grid, rows in order
  std::vector<float> even_, odd_;    // residual of one column
};

}  // namespace quern::strip
