#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// What goes between a grid and the next coarser one: residuals down, r = Pᵀ (b - A x), and corrections up, x += P y.
class StripTransfer {
 public:
  /// @param by_colours  relaxation is of points: after it ran forward the last colour has no residual left, and
  ///                    backward it begins by replacing that colour, so nothing of it needs to be passed on
  StripTransfer(const StripLevel& level, const StripOperator<float>& a, const StripWeights<float>& w, bool by_colours);
  void set_by_colours(bool by_colours);
  void restrict_residual(const std::vector<float>& x, const std::vector<float>& b, std::vector<float>& coarse);
  void prolong(const std::vector<float>& coarse, std::vector<float>& x);

 private:
  void residual(const std::vector<float>& x, const std::vector<float>& b, int column, int half);
  void restrict_in_rows(const std::vector<float>& x, const std::vector<float>& b, std::vector<float>& coarse);
  void prolong_in_rows(const std::vector<float>& coarse, std::vector<float>& x) const;
  void from_kept(int coarse);
  void from_between(std::size_t interval);
  void add(float* to, const float* weight, const float* part) const;
  void add_above(float* to, const float* weight, const float* part) const;
  bool last_colour(int column, int half) const;

  const StripLevel& level_;
  const StripOperator<float>& a_;
  const StripWeights<float>& w_;
  bool by_colours_;
  std::vector<float> plain_;  // of the coarse grid, rows in order
  std::vector<float> even_, odd_;  // residual of one column
};

}  // namespace quern::strip
