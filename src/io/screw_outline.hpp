#pragma once
#include <vector>

#include "geometry/screw.hpp"
namespace quern {

/// One screw seen from above (along the normal of the plane of both axes), computed from its profile.
/// Lengths in m, y measured from the screw's own axis.
struct ScrewOutline {
  std::vector<double> x, upper, lower;  ///< outline at stations along the axis
  struct Edge {                         ///< where a tip land begins or ends, on the side that faces the viewer
    std::vector<double> x, y;
  };
  std::vector<Edge> edges;
  std::vector<double> joints;           ///< where elements meet
};

/// @param second the other screw of the pair, phased so that both mesh
/// @param stations along the whole screw
ScrewOutline screw_outline(const Section& section, const Screw& screw, bool second, int stations);

}  // namespace quern
