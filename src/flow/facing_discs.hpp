#pragma once
#include "geometry/section.hpp"
namespace quern {

/// Area over which the side faces of neighbouring discs of the two screws look at each other across their axial gap:
/// disc j of one screw and disc j+1 of the other, both pairs together, at one rotation [m2].
///
/// Turning the same way they slide past each other with ωC everywhere, so that a gap s between discs takes the power
/// η (2π N C)² overlap/s (Couette). That s is on few drawings.
/// @param turn of the tip of disc j of the first screw from the line of centres [rad]; period 2π/starts
/// @param stagger by which disc j+1 is turned ahead of disc j [rad]; of either sign
/// @throws InputError  a profile that cannot exist
double facing_discs(const Section& section, int starts, double turn, double stagger);

/// The same, mean over a rotation [m2].
double mean_facing_discs(const Section& section, int starts, double stagger);

}  // namespace quern
