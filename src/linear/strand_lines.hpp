#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// Relaxation of rows of whole strands, exactly between their junctions, where links couple much more than rows do: in a
/// nip whose passage along the axis is all but closed. Even rows come before odd ones; `backward` is the adjoint of
/// `forward`. Junctions, and strands that are not stiff, are left to others.
class StrandLines {
 public:
  StrandLines(const StripLevel& level, const StripOperator<float>& a);
  /// Finds the stiff strands of a set-up and factors their rows.
  void set(const StripOperator<double>& a);
  /// Of each column: it lies in a stiff strand.
  const std::vector<char>& covered() const { return covered_; }
  bool any() const { return !stiff_.empty(); }
  /// What x holds in other columns counts.
  void forward(std::vector<float>& x, const std::vector<float>& r) const;
  void backward(std::vector<float>& x, const std::vector<float>& r) const;
  std::size_t bytes() const { return sizeof(float) * inverse_.size(); }

 private:
  struct Stiff {
    int first, columns, link;  ///< its first column, how many, and its first link
  };
  bool is_stiff(const StripOperator<double>& a, const Stiff& strand) const;
  void factor(const StripOperator<double>& a, const Stiff& strand);
  void relax(std::vector<float>& x, const std::vector<float>& r, const Stiff& strand, int half) const;
  void gather(std::vector<float>& x, const std::vector<float>& r, int column, int half, bool first, bool last) const;

  const StripLevel& level_;
  const StripOperator<float>& a_;
  std::vector<Stiff> stiff_{};
  std::vector<char> covered_;
  std::vector<float> inverse_{};  ///< of the pivots, as cells lie
};

}  // namespace quern::strip
