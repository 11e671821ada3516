#pragma once
#include "linear/strip_multigrid.hpp"
namespace quern::strip {

/// Conjugate gradients in double around a multigrid cycle, on cells laid out as the cycle has them.
///
/// The cycle rounds its answer z to single precision, so it is not quite the same linear map every time. Where a sealed
/// chamber stands under a pressure far above what drives flow inside it, that stalls the usual β = r·z / (r·z before);
/// β = (r - r before)·z / (r·z before), equal without rounding, does not mind.
/// Source: Hestenes & Stiefel (1952), J. Res. NBS 49, 409; β as in Notay (2000), SIAM J. Sci. Comput. 22, 1444.
class ConjugateGradients {
 public:
  explicit ConjugateGradients(StripMultigrid& multigrid);
  /// Takes note of the operator that the multigrid was set to.
  void set();

  /// Values of cells, split rows. Cells outside must be and stay zero.
  std::vector<double>& right() { return b_; }
  std::vector<double>& answer() { return x_; }

  /// x = 0, so that the residual is b.
  void start_from_zero();
  /// b - A x, computed anew. @returns its norm
  double find_residual();
  /// Goes on from the last residual found until its norm is at most `goal`.
  /// @returns iterations done; the residual carried along may then differ from b - A x by round-off
  int run(double goal, int most_iterations);

  /// What |b - A x| may come to from the rounding of x alone.
  double round_off() const;
  double norm(const std::vector<double>& values) const;
  void take_mean_off(std::vector<double>& values) const;
  std::size_t bytes() const {
    return (4 * sizeof(double) + sizeof(float)) * b_.size() + sizeof(Ground) * grounds_.size();
  }

 private:
  struct Products {
    double rz, qz;
  };
  struct Ground {
    std::size_t cell;
    double conductance;
  };
  Products precondition();
  double turn(double beta);
  double advance(double alpha);
  void turn(double beta, int column);
  template <class T>
  double apply(const std::vector<T>& x, std::vector<double>& y, int column) const;

  StripMultigrid& multigrid_;
  std::vector<double> b_, x_, r_, q_;
  std::vector<float> p_;  // single precision makes it a little less conjugate, no more
  std::vector<Ground> grounds_;  // most cells have none
  std::vector<std::size_t> first_;  // of a column's grounds
  double norm_ = 0, scale_ = 1;  // the multigrid and p are of r times the scale
};

}  // namespace quern::strip
