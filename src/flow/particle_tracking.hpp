#pragma once
#include <atomic>
#include <cstdint>
#include <optional>
#include <vector>

#include "flow/strip_field.hpp"
namespace quern {

/// How a length of element is tracked. Unit of length the screw diameter, of time a turn.
struct Tracking {
  Run run = Run::endless;    ///< a length out of an endless run, or a kneading block between planes of even pressure
  double length = 1;         ///< endless: rounded to whole rows; a block has its own
  int turns = 48;            ///< rotations solved for kneading, over one period of the profile
  int particles = 10000;
  std::uint64_t seed = 1;
  int threads = 1;           ///< the answer does not depend on it
  double longest = 15;       ///< mean times after which a particle is given up and counted as unfinished
  double step = 0.5;         ///< largest part of a cell in one step, (0, 1]; halve it to see the time error
  const std::atomic<bool>* cancel = nullptr;
};

/// What a filled length of element does to the particles that pass through it. Times in turns, lengths in D.
struct TrackedFlow {
  double length = 0;                  ///< tracked
  double volume = 0;                  ///< free section times length, from the cells
  double strip_volume = 0;            ///< ∫ h dx dz of the flat lobes, for comparison: some 7 % more than volume
  double volume_over_throughput = 0;  ///< what the mean time should be
  double mean_time = 0;
  double time_error = 0;              ///< standard error of mean_time
  double variance = 0;                ///< of the times
  double time_5 = 0, time_50 = 0, time_95 = 0;  ///< by which that percentage has left
  /// Length worth one stirred tank, length · variance/mean² [D]: the closure mixing_length of the line. Tanks per D are
  /// its inverse, the Bodenstein number per D (for small variances) twice that.
  double mixing_length = 0;
  double mean_strain = 0;  ///< ∫ shear rate dt
  double strain_error = 0;
  double strain_5 = 0, strain_50 = 0, strain_95 = 0;
  double mean_rate = 0;  ///< volume mean of the shear rate; times V/Q it should give mean_strain
  double tip_passes = 0;  ///< mean number per D of length, net
  double share_over_tip = 0;  ///< of the flow, at least once in the length tracked
  int unfinished = 0;  ///< given up; counted with the time and strain they had
  std::vector<double> times{}, strains{};  ///< shape (particles)
};

/// Follows particles through a filled element, Newtonian, from mixed inlet to mixed outlet.
///
/// Velocities over the depth are rebuilt from the lubrication solution so that volume is kept exactly; at the cusps
/// particles part in proportion to the fluxes. docs/theory/particle-tracking.md has the derivation, what is doubtful,
/// and figures.
/// @param throughput V/(N D³); negative for an element that is run against its conveying sense (a mirrored shape)
/// @returns nothing if cancelled
/// @throws InputError  throughput zero or not finite; length, particles, turns, step, longest, threads out of range;
///   a conveying element as a block
std::optional<TrackedFlow> track_particles(const ElementShape& shape, const StripGrid& grid, double throughput,
                                           const Tracking& tracking = {});

/// @throws InputError as track_particles does
void check_tracking(const ElementShape& shape, double throughput, const Tracking& tracking);

}  // namespace quern
