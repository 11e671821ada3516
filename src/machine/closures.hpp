#pragma once
#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/quantity.hpp"
namespace quern {

/// The closures of the line model: every coefficient that is not geometry or material. Each can be fixed in a
/// project's [closures]. The list below is the only one: reader, report, help and guide come from it.
enum class Closure {
  barrel_heat_transfer,        ///< melt side film; automatic (Todd) unless fixed
  solid_heat_transfer,         ///< granules to coolant, overall
  solid_engagement,            ///< c_tip: share of a tip land that granules load, kneading
  solid_engagement_conveying,  ///< the same in conveying elements, times fill
  solid_normal_stress,         ///< p_n: stress that presses granules on the wall in a packed section
  solid_conveying,             ///< share of the plug advance that granules achieve
  solid_film_time,             ///< share of a turn that a granule stays under one tip
  intake_efficiency,           ///< share of the feed element's volume that feed can enter
  kneading_packing,            ///< fill of kneading sections by granules
  melting_action,              ///< share of unmelted granules reached by one tip passage, kneading
  melting_action_conveying,    ///< the same, conveying
  particle_nusselt,            ///< conduction from melt to a granule
  solid_packing,               ///< largest volume fraction of granules in melt
  flow_scale,                  ///< multiplies A1 and B of every computed element
  power_scale,                 ///< multiplies melt power of every computed element
  mixing_length,               ///< axial mixing: length of screw worth one stirred tank, in D
  plug_share,                  ///< share of each element's time passed without mixing
  coolant_rise,                ///< rise of the coolant at full chiller load, when no flow is given
  zone_cooling_flux,           ///< what a water-cooled zone can remove per bore surface, when no figure is given
  trough_film,                 ///< water side coefficient of a strand in the trough
  count
};

struct ClosureInfo {
  Closure closure;
  std::string_view name;   ///< the key in [closures]
  Kind kind;
  double value;            ///< default, SI
  double lowest, highest;  ///< accepted range, SI
  std::string_view unit;   ///< for people
  double uncertainty;      ///< relative, one sigma
  std::string_view basis;  ///< source or "value from memory" or "common practice, no source"
  std::string_view meaning;
};
std::span<const ClosureInfo> closure_list();
const ClosureInfo& info(Closure closure);

/// Values in force. An unset closure has its default.
struct Closures {
  std::array<std::optional<double>, static_cast<std::size_t>(Closure::count)> fixed{};
  double operator[](Closure c) const { return fixed[static_cast<std::size_t>(c)].value_or(info(c).value); }
  bool is_fixed(Closure c) const { return fixed[static_cast<std::size_t>(c)].has_value(); }
  void fix(Closure c, double value) { fixed[static_cast<std::size_t>(c)] = value; }
};

}  // namespace quern
