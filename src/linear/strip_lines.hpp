#pragma once
#include <array>

#include "linear/strip_level.hpp"
namespace quern::strip {

/// Relaxation of whole columns, exactly, where rows couple much more than columns. Columns that stay come before those
/// between; `backward` is the adjoint of `forward`.
///
/// Eight columns that do not touch are solved side by side, since within one each row waits for the last.
class ColumnLines {
 public:
  ColumnLines(const StripLevel& level, const StripOperator<float>& a);
  void factor(const StripOperator<double>& a);
  /// From x = 0; what x holds before does not matter.
  void forward(std::vector<float>& x, const std::vector<float>& r);
  void backward(std::vector<float>& x, const std::vector<float>& r);
  std::size_t bytes() const { return sizeof(float) * (3 * next_.size() + line_.size()); }

 private:
  static constexpr std::ptrdiff_t lanes = 8;
  struct Group {
    int count = 0;
    std::array<int, lanes> columns{};
  };
  void factor(const StripOperator<double>& a, int column, std::size_t first);
  void relax(std::vector<float>& x, const std::vector<float>& r, std::size_t group);
  void load(std::vector<float>& x, const std::vector<float>& r, int column, int lane);
  void store(std::vector<float>& x, int column, int lane) const;

  const StripLevel& level_;
  const StripOperator<float>& a_;
  std::vector<Group> groups_;                 // in order of relaxation forward
  std::vector<float> next_, last_, inverse_;  // rows in order, shape (groups, rows, lanes)
  std::vector<float> line_;                   // shape (rows, lanes)
};

}  // namespace quern::strip
