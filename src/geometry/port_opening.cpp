#include "geometry/port_opening.hpp"

#include <algorithm>

namespace quern {

std::vector<PortOpening> port_openings(const std::vector<Zone>& zones, double screw_diameter) {
  std::vector<PortOpening> openings;
  double at = 0;
  for (std::size_t i = 0; i < zones.size(); ++i) {
    const Zone& zone = zones[i];
    const double reach = zone.port == Port::feed ? std::min(zone.length, 6 * screw_diameter) : zone.length;
    if (zone.port != Port::none) openings.push_back({i, zone.port, {at + 0.25 * reach, at + 0.75 * reach}});
    at += zone.length;
  }
  return openings;
}

}  // namespace quern
