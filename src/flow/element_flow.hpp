#pragma once
#include <vector>

#include "flow/element_solution.hpp"
#include "flow/nip.hpp"
#include "geometry/element.hpp"
#include "geometry/section.hpp"
namespace quern {

/// Where an element's characteristics come from.
enum class FlowBasis { estimated, solved, given };

/// What one element does to a liquid, per turn and per length. The line model knows nothing else of its shape.
struct ElementFlow {
  Characteristics line{};           ///< Newtonian, fully filled, of an endless run of such elements
  double free_area = 0;             ///< [m2]
  double wetted_bore = 0;           ///< barrel perimeter [m]
  double tip_land = 0;              ///< width of the tip lands that face the bore, both screws, mean over a turn [m]
  double shear_rate_pressure = 0;   ///< rate at which the viscosity of the pressure flow is read, per turn [1]
  double shear_rate_power = 0;      ///< the same for power [1]: root mean square rate of the full element at V* = A1
  double tip_shear_rate = 0;        ///< π D/δ at the tip clearance, per turn [1]
  double solid_advance = 0;         ///< how far a plug of granules would travel in one turn, signed [m]
  double tip_power = 0;             ///< part of the power without gradient that the tip lands take, P* [1]
  std::vector<ThinningFigures> thinning{};  ///< by falling index; empty when estimated: rates as above, A1 unchanged
  double mean_shear_rate = 0;       ///< volume mean of the full element, per turn [1]
  double tip_flux = 0;  ///< what the tips of the full element pass over, per length: V/(N D³) a D of length [1]
  double tip_repeat = 1;                 ///< passes over tips of what passes at all, in the element [1]
  double mixing_length = 0;  ///< of the filled element, worth one stirred tank [m]; 0: not known
  bool pumping = true;  ///< conveys with the machine's flow, so that rate_pressure counts and not rate_consuming
  ElementUncertainty uncertainty{};  ///< one sigma; 0 when the characteristics were given
  bool in_range = true;  ///< of what the method was compared with
  FlowBasis basis = FlowBasis::estimated;
};

/// How a liquid of local power-law index n flows: throughput, rate_pressure (whichever counts) and rate_power.
ThinningFigures thinning_at(const ElementFlow& flow, double n);

/// First closure: lubrication on the unwound channel with leakage over the tips (conveying), equivalent leads of
/// both hands plus passage past the disc edges (kneading), annuli (rings). Derived in docs/theory/element-flow.
///
/// Throughput A1 reads about 20 % low against three-dimensional Stokes flow for leads from 1 D up. The closure's range
/// is leads of at least 0.75 D and discs of at least 0.1 D; outside it the uncertainty grows.
/// Axial gaps between neighbouring discs are not known and add no power.
/// Given characteristics take the place of the computed line; geometry stays computed, and where a clearance is zero
/// the shear rates are those of a tip clearance of 0.002 D.
/// @throws InputError  a profile that cannot exist; zero clearance without given characteristics; a ring without a gap
ElementFlow element_flow(const Section& section, const Element& element);

/// The same for a line of many elements of one section. @param nip nip_couette(section, element.starts)
ElementFlow element_flow(const Section& section, const Element& element, double nip);

/// The element as the strip solver has it: the mean of the endless run and, for kneading, of the block between open ends,
/// half of whose difference is part of the uncertainty. Characteristics that the user gave count before both.
/// @param solution of shape_of(section, element)
ElementFlow solved_element_flow(const Section& section, const Element& element, const ElementSolution& solution);

/// Why no flow can be computed for the element: fields as in the project file.
std::vector<Fault> flow_faults(const Section& section, const Element& element);

}  // namespace quern
