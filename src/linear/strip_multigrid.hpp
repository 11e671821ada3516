#pragma once
#include <memory>

#include "linear/strand_lines.hpp"
#include "linear/strip_coarsest.hpp"
#include "linear/strip_galerkin.hpp"
#include "linear/strip_lines.hpp"
#include "linear/strip_point.hpp"
#include "linear/strip_transfer.hpp"
namespace quern::strip {

/// How a grid is smoothed, and what the next one is.
struct Treatment {
  Rows rows = Rows::halved;
  bool lines = false;  ///< relaxation of whole columns
  friend bool operator==(const Treatment&, const Treatment&) = default;
};

/// One symmetric multigrid cycle V(1,1), in single precision, from a set-up in double.
///
/// At a contrast of conductances of 1e9 the row sums of a single-precision set-up would be round-off; the cycle itself
/// only has to be near, since conjugate gradients around it correct what it misses.
///
/// Where one direction couples much more than the other, relaxation of points smooths along that one only. Then either
/// the rows are kept while columns are halved (links prevail), or columns are relaxed as a whole (rows prevail). Where links prevail
/// in one strand alone, its rows are relaxed as a whole, after the points of the others.
class StripMultigrid {
 public:
  explicit StripMultigrid(const StripTopology& topology);

  const StripLevel& level() const { return level_; }
  /// To be filled, but for what `complete` fills, before `set`.
  StripOperator<double>& finest() { return finest_; }
  const StripOperator<double>& finest() const { return finest_; }
  void set(bool floating);

  std::vector<float>& right() { return right_; }
  const std::vector<float>& answer() const { return x_; }
  /// The answer to the right-hand side, a linear symmetric positive map.
  void cycle() { cycle(0); }
  std::size_t bytes() const;

 private:
  struct Grid {
    Grid(const StripLevel& shape, const Treatment& treatment, StripOperator<double>& exact, std::vector<float>& x,
         std::vector<float>& right);
    void set();
    void forward();
    void backward();

    StripLevel level;
    Treatment treatment;
    StripOperator<double>& exact;
    std::vector<float>&x, &right;
    StripWeights<double> exact_weights;
    StripOperator<float> a;
    StripWeights<float> weights;
    StripGalerkin galerkin;
    StrandLines strands;
    PointRelaxation points;
    ColumnLines lines;
    StripTransfer transfer;
    StripOperator<double> coarse;
    std::vector<float> coarse_x, coarse_right;
  };
  void cycle(std::size_t grid);

  StripLevel level_;
  StripOperator<double> finest_;
  std::vector<float> x_, right_;
  std::vector<std::unique_ptr<Grid>> grids_;
  std::unique_ptr<StripCoarsest> coarsest_;
};

}  // namespace quern::strip
