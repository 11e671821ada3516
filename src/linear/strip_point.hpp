#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// Gauss-Seidel by colours: of two colours with five points (even column and row, or both odd, come first), of four
/// with nine. `backward` runs through the cells in the opposite order and is thus the adjoint of `forward`.
class PointRelaxation {
 public:
  PointRelaxation(const StripLevel& level, const StripOperator<float>& a) : level_(level), a_(a) {}
  /// From x = 0; what x holds before does not matter.
  void forward(std::vector<float>& x, const std::vector<float>& r) const;
  void backward(std::vector<float>& x, const std::vector<float>& r) const;

 private:
  template <bool nine>
  void relax(std::vector<float>& x, const std::vector<float>& r, int column, int half) const;
  template <bool nine>
  void relax_strand_column(std::vector<float>& x, const std::vector<float>& r, int column, int half) const;
  void start(std::vector<float>& x, const std::vector<float>& r, int column, int half) const;
  void forward_two(std::vector<float>& x, const std::vector<float>& r) const;
  void backward_two(std::vector<float>& x, const std::vector<float>& r) const;
  void clear(std::vector<float>& x, int column) const;

  const StripLevel& level_;
  const StripOperator<float>& a_;
};

}  // namespace quern::strip
