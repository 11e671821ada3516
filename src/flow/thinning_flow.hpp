#pragma once
#include <atomic>
#include <memory>
#include <optional>

#include "flow/strip_field.hpp"
#include "flow/thinning_profile.hpp"
namespace quern {

/// What drives an endless run of an element: its mean pressure gradient, or the throughput it has to carry.
struct StripDrive {
  double value = 0;
  bool is_throughput = false;
};

/// Flow of a shear-thinning liquid through an element, mean over a turn. Units: D, N, and the law's own viscosity.
struct ThinningFlow {
  double throughput = 0, gradient = 0;
  double power = 0;      ///< of the shafts, per length
  double tip_power = 0;  ///< its part on the lands of the tips
  double mean_rate = 0, rms_rate = 0;  ///< over the volume
  int passes = 0;
  double change = 0;  ///< relative, of throughput or gradient and of power in the last pass
  bool converged = false;
};

/// Solves the strip with viscosities from depth-resolved profiles at every link, both components of shear, by Picard's
/// iteration with Anderson mixing on ln η; each pass is one linear solution for turning and one for the gradient.
/// States are kept: a following solution starts from the last one. Method: docs/theory/thinning.
class ThinningStrip {
 public:
  /// @param turns rotations averaged, ignored for conveying elements (one snapshot tells all)
  /// @param threads share the rotations; the answer does not depend on them
  ThinningStrip(const ElementShape& shape, const StripGrid& grid, const StripModel& model, int turns, int threads = 1);
  ~ThinningStrip();
  /// @param tolerance of `change` @param with_power otherwise power and rates stay 0 and a third of the time is saved
  ThinningFlow solve(const ThinningLaw& law, const StripDrive& drive, double tolerance = 1e-5, bool with_power = true);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// Rotations over which the flow through an element is averaged, evenly spaced over what its symmetry leaves [rad].
std::vector<double> turns_of(const ElementShape& shape, Run run, int count);

}  // namespace quern
