#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// The last grid of a hierarchy, small enough for a dense inverse.
class StripCoarsest {
 public:
  explicit StripCoarsest(const StripTopology& topology);
  /// @param floating  without ground anywhere: one value is held, and means are taken off before and after
  void invert(const StripOperator<double>& a, bool floating);
  void solve(const std::vector<float>& r, std::vector<float>& x);

 private:
  std::size_t index(int i, int j) const {
    return static_cast<std::size_t>(i) * static_cast<std::size_t>(size_) + static_cast<std::size_t>(j);
  }
  void assemble(const StripOperator<double>& a);
  void sweep_inverse();
  void take_mean_off(std::vector<float>& v) const;

  StripTopology topology_;
  SplitLayout cells_;
  int size_;
  bool floating_ = false;
  std::vector<double> matrix_, factor_;
  std::vector<float> inverse_, right_, answer_;
};

}  // namespace quern::strip
