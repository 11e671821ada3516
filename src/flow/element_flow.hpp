#pragma once
#include "flow/nip.hpp"
#include "geometry/element.hpp"
#include "geometry/section.hpp"
namespace quern {

/// What one element does to a liquid, per turn and per length. The line model knows nothing else of its shape,
/// so a numerical solver can take this function's place.
struct ElementFlow {
  Characteristics line{};           ///< Newtonian, fully filled, of an endless run of such elements
  double free_area = 0;             ///< [m2]
  double wetted_bore = 0;           ///< barrel perimeter [m]
  double tip_land = 0;              ///< width of the tip lands that face the bore, both screws, mean over a turn [m]
  double shear_rate_pressure = 0;   ///< rate at which the viscosity of the pressure flow is read, per turn [1]
  double shear_rate_power = 0;      ///< the same for power [1]: root mean square rate of the full element at V* = A1
  double tip_shear_rate = 0;        ///< π D/δ at the tip clearance, per turn [1]
  double solid_advance = 0;         ///< how far a plug of granules would travel in one turn, signed [m]
  double relative_uncertainty = 0;  ///< one sigma, of A1 and B; 0 when they were given
  bool given = false;               ///< characteristics came from the user
};

/// First closure: lubrication on the unwound channel with leakage over the tips (conveying), equivalent leads of
/// both hands plus passage past the disc edges (kneading), annuli (rings). Derived in docs/theory/element-flow.
///
/// Throughput A1 reads about 20 % low against three-dimensional Stokes flow for leads from 1 D up. The closure's range
/// is leads of at least 0.75 D and discs of at least 0.1 D; outside it relative_uncertainty grows.
/// Axial gaps between neighbouring discs are not known and add no power.
/// Given characteristics take the place of the computed line; geometry stays computed, and where a clearance is zero
/// the shear rates are those of a tip clearance of 0.002 D.
/// @throws InputError  a profile that cannot exist; zero clearance without given characteristics; a ring without a gap
ElementFlow element_flow(const Section& section, const Element& element);

/// The same for a line of many elements of one section. @param nip nip_couette(section, element.starts)
ElementFlow element_flow(const Section& section, const Element& element, double nip);

}  // namespace quern
