#pragma once
#include "geometry/section.hpp"
namespace quern {

/// Couette power between the screws, P/(η N² D² L), mean over a rotation [1].
///
/// Turning the same way the screws slide past each other with ωC everywhere: (2π C/D)² ∫ dy/g over the strip between
/// the cusps of the bore, g(y) their distance along the line of centres. About proportional to screw_gap^(-1/2).
/// Depends on the section and the starts alone, so a line of many elements computes it once.
/// @throws InputError  a profile that cannot exist
double nip_couette(const Section& section, int starts);

/// Least distance between the two screws, measured along the line of centres, at one rotation [m].
/// @param turn angle of a tip of the first screw from the line of centres [rad]
double nip_gap(const Section& section, int starts, double turn);

}  // namespace quern
