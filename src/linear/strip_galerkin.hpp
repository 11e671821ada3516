#pragma once
#include "linear/strip_level.hpp"
namespace quern::strip {

/// The operator of the next coarser grid, Pᵀ A P, found from energies.
///
/// A joint of conductance G between fine cells i and j holds the energy ½ G (p_i - p_j)²; with p = P q it becomes one
/// of the four coarse cells around it. Only conductances and grounds are kept, so that a grid without ground stays
/// without, and nothing is lost in a difference of large diagonals.
class StripGalerkin {
 public:
  explicit StripGalerkin(const StripLevel& level);
  void coarsen(const StripOperator<double>& a, const StripWeights<double>& w, StripOperator<double>& coarse);
  std::size_t bytes() const { return sizeof(double) * (3 * across_.size() + 2 * along_.size() + parts_.size()); }

 private:
  struct Fine;
  template <bool nine>
  void box(const Fine& fine);
  template <bool nine>
  void short_box(const Fine& fine);
  template <bool nine>
  void row_box(const StripOperator<double>& a, const StripWeights<double>& w, std::size_t interval, int half);
  void row_columns(const StripOperator<double>& a);
  void column(const Fine& fine, int coarse);
  void halve_rows(const StripOperator<double>& a, const StripWeights<double>& w);
  void keep_rows(const StripOperator<double>& a, const StripWeights<double>& w);
  void gather(std::size_t interval);
  void add(std::vector<double>& to, std::size_t at, int what) const;
  void add_above(std::vector<double>& to, std::size_t at, int what) const;
  void fold();
  void split(StripOperator<double>& coarse) const;

  const StripLevel& level_;
  std::size_t rows_;
  std::vector<double> across_, rising_, falling_, along_, ground_;  // of the coarse grid, plain layout
  std::vector<double> parts_;  // what a box adds, shape (10, rows)
  std::size_t boxes_, first_ = 0, step_ = 1;  // the parts are of rows first, first + step, ...
};

}  // namespace quern::strip
