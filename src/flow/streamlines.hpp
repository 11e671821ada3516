#pragma once
#include <optional>
#include <vector>

#include "flow/particle_tracking.hpp"
namespace quern {

/// A place on a particle's way. Unit of length the screw diameter, of time a turn.
struct PathPoint {
  double time = 0;    ///< since it entered
  int strand = 0;     ///< 0, 1: lobe of screw 1, 2; 2: between the screws
  double along = 0;   ///< from the strand's start: round the bore, or upwards from the lower cusp
  double z = 0;       ///< from the plane of least z
  double depth = 0;   ///< share of the gap from the barrel; between the screws from screw 1
  /// In a lobe, the angle as seen from its turning screw, not reduced to a turn [rad]: with z the unwound screw.
  std::optional<double> screw_angle{};
};
using Streamline = std::vector<PathPoint>;

/// The ways of a few particles through a filled element, for pictures: a point where a cell is entered or a step ends.
/// At a cusp a path goes on at another depth, as docs/theory/particle-tracking.md says.
/// @param tracking particles is the number of paths; threads and cancel are not used
/// @throws InputError as track_particles does
std::vector<Streamline> streamlines(const ElementShape& shape, const StripGrid& grid, double throughput,
                                    const Tracking& tracking);

}  // namespace quern
