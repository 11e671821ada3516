#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// Interpolation that follows the operator: between two coarse cells the flow through the line that joins them is taken
/// as constant, and the odd row between takes what its equation says, with no source. It keeps what is steep across a
/// jump of conductance steep, which a plain mean would smear.
/// Source: Alcouffe, Brandt, Dendy & Painter (1981), SIAM J. Sci. Stat. Comput. 2, 430; Dendy (1982), J. Comput. Phys.
/// 48, 366 (from memory).
class StripInterpolation {
 public:
  StripInterpolation(const StripLevel& level, const StripOperator<double>& a, StripWeights<double>& w)
      : level_(level), a_(a), w_(w) {}
  void find();

 private:
  struct Link;
  Link link(int index) const;
  void along_kept(int coarse);
  void between(std::size_t interval);
  void between_in_rows(std::size_t interval);
  void close_ring(std::size_t interval);

  const StripLevel& level_;
  const StripOperator<double>& a_;
  StripWeights<double>& w_;
};

}  // namespace quern::strip
