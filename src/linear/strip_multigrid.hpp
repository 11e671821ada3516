#pragma once
#include <memory>

#include "linear/strip_coarsest.hpp"
#include "linear/strip_galerkin.hpp"
#include "linear/strip_lines.hpp"
#include "linear/strip_point.hpp"
#include "linear/strip_transfer.hpp"
namespace quern::strip {

/// One symmetric multigrid cycle V(1,1), in single precision, from a set-up in double.
///
/// At a contrast of conductances of 1e9 the row sums of a single-precision set-up would be round-off; the cycle itself
/// only has to be near, since conjugate gradients around it correct what it misses.
class StripMultigrid {
 public:
  explicit StripMultigrid(const StripTopology& topology);

  const StripLevel& level() const { return grids_.front()->level; }
  /// Of the finest grid. To be filled, but for what `complete` fills, before `set`.
  StripOperator<double>& finest() { return grids_.front()->exact; }
  const StripOperator<double>& finest() const { return grids_.front()->exact; }
  void set(bool floating);

  std::vector<float>& right() { return grids_.front()->right; }
  const std::vector<float>& answer() const { return grids_.front()->x; }
  /// The answer to the right-hand side, a linear symmetric positive map.
  void cycle();

 private:
  enum class Relaxation { points, column_lines, row_lines };
  struct Grid {
    explicit Grid(const StripTopology& topology, bool stencil_of_nine);
    Relaxation choose() const;
    void narrow();
    void forward();
    void backward();

    StripLevel level;
    StripOperator<double> exact;
    StripWeights<double> exact_weights;
    StripOperator<float> a;
    StripWeights<float> weights;
    StripGalerkin galerkin;
    PointRelaxation points;
    ColumnLines column_lines;
    RowLines row_lines;
    Relaxation relaxation = Relaxation::points;
    std::unique_ptr<StripTransfer> transfer;
    std::vector<float> x, right;
  };
  void cycle(std::size_t grid);

  std::vector<std::unique_ptr<Grid>> grids_;
  std::unique_ptr<StripCoarsest> coarsest_;
  StripOperator<double> last_;
  std::vector<float> last_right_, last_x_;
};

}  // namespace quern::strip
