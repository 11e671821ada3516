#pragma once
#include <vector>

#include "geometry/screw.hpp"
namespace quern {

/// The hole in the barrel that a zone's port makes.
struct PortOpening {
  std::size_t zone = 0;  ///< index of its zone
  Port port = Port::none;
  Placed place{};        ///< from the feed end [m]
};

/// The openings of a barrel from feed to die, one for each zone with a port: the middle half of the zone; of a feed
/// zone longer than 6 D, the middle half of its first 6 D. Common practice, no source.
/// @param screw_diameter D [m]
std::vector<PortOpening> port_openings(const std::vector<Zone>& zones, double screw_diameter);

}  // namespace quern
