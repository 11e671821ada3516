#include "machine/closures.hpp"

#include <cassert>

namespace quern {
namespace {

constexpr std::string_view memory = "value from memory, to be calibrated on own runs";

// In the order of the enumeration.
constexpr ClosureInfo list[] = {
    {Closure::barrel_heat_transfer, "barrel_heat_transfer", Kind::heat_transfer, 300, 0, 5000, "W/m2/K", 0.35,
     "automatic unless fixed: Todd (1988), SPE ANTEC 34, 54, value from memory",
     "film coefficient between melt and barrel, full sections"},
    {Closure::solid_heat_transfer, "solid_heat_transfer", Kind::heat_transfer, 425, 0, 5000, "W/m2/K", 0.15,
     "Khait, Carr & Mack (2001), Solid-State Shear Pulverization, ch. 9 (abstract): 400 to 450 for chilled pulverizing",
     "overall coefficient between granules and coolant, packed sections"},
    {Closure::solid_engagement, "solid_engagement", Kind::ratio, 0.05, 0, 1, "1", 0.5, memory,
     "share of the tip lands that granules load in packed kneading sections"},
    {Closure::solid_engagement_conveying, "solid_engagement_conveying", Kind::ratio, 0.004, 0, 1, "1", 0.7, memory,
     "the same in conveying elements, at full load of granules"},
    {Closure::solid_normal_stress, "solid_normal_stress", Kind::pressure, 100e6, 0, 1e9, "MPa", 0.5,
     "about three yield stresses, the contact pressure at full plasticity: Tabor (1951), The Hardness of Metals, value "
     "from memory",
     "stress that presses granules on the wall under a tip"},
    {Closure::solid_conveying, "solid_conveying", Kind::ratio, 0.45, 0.01, 1, "1", 0.2,
     "share of the nut-like advance; drag flow of a liquid, as the flow closure has it, moves 0.45 to 0.39 of it at "
     "leads of 0.75 to 1.5 D (docs/theory/line)",
     "advance of granules in conveying elements over that of a nut on a thread"},
    {Closure::solid_film_time, "solid_film_time", Kind::ratio, 0.06, 0.001, 1, "1", 0.5,
     "tip angle over a turn, from geometry of the usual profile", "share of a turn that a granule stays under one tip"},
    {Closure::intake_efficiency, "intake_efficiency", Kind::ratio, 0.35, 0.01, 1, "1", 0.3, memory,
     "share of the feed element's advance volume that poured feed can enter"},
    {Closure::kneading_packing, "kneading_packing", Kind::ratio, 1.0, 0.05, 1, "1", 0.2,
     "common practice, no source: kneading sections run packed with granules",
     "fill of kneading sections by granules, at compacted bulk density"},
    {Closure::melting_action, "melting_action", Kind::ratio, 0.1, 0, 1, "1", 0.5,
     "value from memory: melting ends within one or two kneading blocks once begun (Todd 1993)",
     "share of unmelted granules that one tip passage takes into the melt, kneading"},
    {Closure::melting_action_conveying, "melting_action_conveying", Kind::ratio, 0.01, 0, 1, "1", 0.7, memory,
     "the same in conveying elements"},
    {Closure::particle_nusselt, "particle_nusselt", Kind::ratio, 2.0, 0.1, 100, "1", 0.3,
     "conduction from a stagnant fluid to a sphere: exact limit", "conduction from melt to a granule"},
    {Closure::solid_packing, "solid_packing", Kind::ratio, 0.63, 0.4, 0.75, "1", 0.05,
     "random packing of spheres 0.63 to 0.68", "largest volume fraction of granules in melt"},
    {Closure::flow_scale, "flow_scale", Kind::ratio, 1.0, 0.2, 5, "1", 0.2,
     "each computed element's own uncertainty counts", "multiplies A1 and B of every computed element"},
    {Closure::power_scale, "power_scale", Kind::ratio, 1.0, 0.2, 5, "1", 0.3,
     "each computed element's own uncertainty counts", "multiplies the melt power of every computed element"},
    {Closure::mixing_length, "mixing_length", Kind::ratio, 3.0, 0.2, 50, "1", 0.4,
     "chosen so that a 35 to 40 D screw is worth 6 to 9 tanks, as in Unlu & Faller (2002), J. Food Eng. 53, 115",
     "length of screw worth one stirred tank, in screw diameters"},
    {Closure::plug_share, "plug_share", Kind::ratio, 0.3, 0, 0.95, "1", 0.3,
     "value from memory: first material appears after 0.4 to 0.6 of the mean time",
     "share of each element's time that passes without mixing"},
    {Closure::coolant_rise, "coolant_rise", Kind::temperature_difference, 3, 0, 50, "K", 0.5,
     "common practice, no source", "rise of the coolant at the chiller's full load when no coolant flow is given"},
    {Closure::zone_cooling_flux, "zone_cooling_flux", Kind::heat_flux, 40e3, 0, 1e7, "kW/m2", 0.5, memory,
     "what a water-cooled zone can remove per bore surface when no figure is given"},
    {Closure::trough_film, "trough_film", Kind::heat_transfer, 1500, 10, 20000, "W/m2/K", 0.4, memory,
     "water side coefficient of a strand in the trough"},
};
static_assert(std::size(list) == static_cast<std::size_t>(Closure::count));

}  // namespace

std::span<const ClosureInfo> closure_list() { return list; }

const ClosureInfo& info(Closure closure) {
  const ClosureInfo& found = list[static_cast<std::size_t>(closure)];
  assert(found.closure == closure);
  return found;
}

}  // namespace quern
