#pragma once
#include <string>
#include <vector>

#include "base/error.hpp"
#include "geometry/element.hpp"
#include "geometry/section.hpp"
namespace quern {

enum class Port { none, feed, vent, side_feed };
enum class Cooling { none, water, chiller };

/// One barrel zone.
struct Zone {
  std::string name{};
  double length = 0;             ///< [m]
  Port port = Port::none;
  Cooling cooling = Cooling::none;
  std::optional<double> heating{};        ///< heater rating [W]; empty: no heater
  std::optional<double> cooling_power{};  ///< what the cooling can remove, when known [W]
  int line = 0;
};

/// The elements from feed to tip, repeats written out.
struct Screw {
  std::string name{};
  std::vector<Element> elements{};
};

/// Where an element lies on the shaft.
struct Placed {
  double from = 0, to = 0;  ///< distance from the feed end [m]
};
std::vector<Placed> placement(const Screw& screw);

/// A rule of the trade that the build breaks, and why it matters. The build still solves.
struct BuildWarning {
  double position = 0;  ///< from the feed end [m]
  std::string what{};   ///< "reverse element under the vent"
  std::string why{};    ///< one sentence
};

/// Faults of a build: lengths that do not close (by how much and which side), elements whose profile cannot
/// exist in this section, zone lengths that do not add up to the shaft. Fields as in the project file.
std::vector<Fault> build_faults(const Section& section, double shaft_length, const std::vector<Zone>& zones,
                                const Screw& screw);

/// Warnings: restriction or kneading under a port, kneading right under the feed, nothing to seal before a vent,
/// no melt seal between chilled and heated zones, change of starts without a spacer, discharge that cannot pump.
/// Basis: common practice, no source.
std::vector<BuildWarning> build_warnings(const Section& section, const std::vector<Zone>& zones, const Screw& screw,
                                         bool has_die);

}  // namespace quern
