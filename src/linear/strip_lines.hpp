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

/// Lines around the barrel: strands are eliminated column by column for all rows of a half at once, then the junctions,
/// which are left with a small dense system in each row.
class RowLines {
 public:
  RowLines(const StripLevel& level, const StripOperator<float>& a) : level_(level), a_(a) {}
  void factor(const StripOperator<double>& a);
  void forward(std::vector<float>& x, const std::vector<float>& r);
  void backward(std::vector<float>& x, const std::vector<float>& r);

 private:
  void relax(std::vector<float>& x, const std::vector<float>& r, int half);
  void load(std::vector<float>& x, const std::vector<float>& r, int column, int half) const;
  void solve_junctions(std::vector<float>& x, int half) const;
  std::size_t corner(int i, int j) const { return static_cast<std::size_t>(i * level_.topology.junctions + j); }

  const StripLevel& level_;
  const StripOperator<float>& a_;
  std::vector<float> next_, first_, inverse_;   // as cells
  std::vector<std::vector<float>> junctions_;   // L of L D Lᵀ, D⁻¹ on its diagonal; each as one column of cells
};

}  // namespace quern::strip
