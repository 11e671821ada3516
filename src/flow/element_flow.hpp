#pragma once
#include "geometry/element.hpp"
#include "geometry/section.hpp"
namespace quern {

/// What one element does to a liquid, per turn and per length. The line model knows nothing else of its shape,
/// so a numerical solver can take this function's place.
struct ElementFlow {
  Characteristics line{};            ///< Newtonian, fully filled
  double free_area = 0;              ///< [m2]
  double wetted_bore = 0;            ///< barrel perimeter [m]
  double tip_land = 0;               ///< width of all tip lands of both screws that face the bore, 2 n α R [m]
  double shear_rate_pressure = 0;    ///< rate at which the viscosity of the pressure flow is read, per turn [1]
  double shear_rate_power = 0;       ///< the same for power [1]: root mean square rate of the full element
  double tip_shear_rate = 0;         ///< π D/δ at the tip clearance, per turn [1]
  double solid_advance = 0;          ///< how far a plug of granules would travel in one turn, signed [m]
  double relative_uncertainty = 0;   ///< one sigma, of A1 and B
  bool given = false;                ///< characteristics came from the user
};

/// First closure: lubrication on the unwound channel with leakage over the tips (conveying), equivalent leads of
/// both hands plus passage past the disc edges (kneading), annuli (rings). Derived in docs/theory/element-flow.
/// Reads about 20 % low in throughput and pressure against three-dimensional Stokes flow.
/// @throws InputError  a profile that cannot exist; zero clearance without given characteristics
ElementFlow element_flow(const Section& section, const Element& element);

/// Couette power between the screws over η N² D² per length, mean over a rotation [1]: depends on the section and the
/// starts alone, so a line of many elements computes it once and hands it on.
double nip_couette(const Section& section, int starts);
ElementFlow element_flow(const Section& section, const Element& element, double nip);

}  // namespace quern
