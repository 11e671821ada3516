#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// A relaxation solves whole lines exactly where one direction couples much more than the other. Zebra order: columns
/// that stay before those between, or even rows before odd ones; `backward` is the adjoint of `forward`.
class ColumnLines {
 public:
  ColumnLines(const StripLevel& level, const StripOperator<float>& a) : level_(level), a_(a) {}
  void factor(const StripOperator<double>& a);
  void forward(std::vector<float>& x, const std::vector<float>& r);
  void backward(std::vector<float>& x, const std::vector<float>& r);

 private:
  void relax(std::vector<float>& x, const std::vector<float>& r, int column);

  const StripLevel& level_;
  const StripOperator<float>& a_;
  std::vector<float> next_, last_, inverse_;  // rows in order, shape (columns, rows)
  std::vector<float> line_;                   // shape (rows)
};

}  // namespace quern::strip
