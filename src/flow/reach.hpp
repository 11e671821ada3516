#pragma once
#include <vector>

#include "geometry/section.hpp"
namespace quern {

/// How far a screw reaches towards the other, at the middles of equal steps in height from -y_end to y_end, shape
/// (samples) [m].
/// @param worn_radius tips end there, if not before [m] @param turn of a tip from the line of centres [rad]
std::vector<double> reach(const Profile& p, double worn_radius, double turn, double y_end, int samples);

}  // namespace quern
