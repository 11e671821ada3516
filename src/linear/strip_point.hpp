#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// Gauss-Seidel by colours: of two colours with five points (even column and row, or both odd, come first), of four
/// with nine. `backward` runs through the cells in the opposite order and is thus the adjoint of `forward`.
class PointRelaxation {
 public:
  /// @param skipped of each column: it is left alone
  PointRelaxation(const StripLevel& level, const StripOperator<float>& a, const std::vector<char>& skipped)
      : level_(level), a_(a), skipped_(skipped) {}
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
  bool skips(int column) const { return skipped_[static_cast<std::size_t>(column)] != 0; }
  /// A whole strand, by its first column.
  bool skips(int first, int columns) const { return columns > 0 && skips(first); }

  const StripLevel& level_;
  const StripOperator<float>& a_;
  const std::vector<char>& skipped_;
};

}  // namespace quern::strip
