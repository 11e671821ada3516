#pragma once
#include <array>
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "structure/chain_distribution.hpp"
#include "structure/coefficients.hpp"
#include "structure/peroxide.hpp"
#include "structure/scission_kernel.hpp"
namespace quern {

/// What a polymer's chains are. Defaults: polypropylene.
struct Chains {
  double repeat = 0.04208;  ///< molar mass of the repeat unit [kg/mol]
  double critical = 14;     ///< molar mass above which η0 ∝ Mw^3.4 [kg/mol]; value from memory, ± 20 %
};

/// Constants of chain breaking on the screw. No published value is among those of mechanical breaking and of heat.
/// A break counts against chains 100 kg/mol above the limit.
struct ScissionConstants {
  Chains chains{};
  double solid_energy = 3e7;       ///< that breaks such a chain once, in granules and powder [J/kg]
  double solid_limit = 3;          ///< limiting over critical molar mass there [1]
  double solid_activation = 2e3;   ///< breaks per energy ∝ exp(-E/RT), 1 at 23 degC [J/mol]
  double melt_energy = 2e7;        ///< that breaks such a chain once, in the melt [J/kg]
  double melt_stress = 1e6;        ///< shear stress under which chains of 100 kg/mol begin to break there [Pa]
  double width = 0.15;             ///< of the break point about the middle, over chain length [1]
  HeatScission heat{};
  Peroxide peroxide{};
};

/// "scission_energy_solid" and the others of mechanical breaking; those of peroxide.hpp apart.
std::span<const Coefficient> chain_scission_coefficients();
ScissionConstants scission_constants(const Coefficients& fixed, const Chains& chains = {});

/// The ways in which one exposure breaks chains; all are zero without time and energy.
///
///   [0] solid  dose = e (1 - φ) f(T)/(E_s 100 kg/mol),  limit = solid_limit · critical,  e energy, φ melt fraction
///   [1] melt, channel  dose = e φ (1 - w)/(E_m 100 kg/mol),  limit = 100 kg/mol · τ1/τ
///   [2] melt, tips  the same with w and the stress under tips,  w = share of τ γ̇ t done there
///   [3] heat and peroxide  dose = scissions per mass, no limit, anywhere along the chain
///
/// So scission goes with energy once the stress suffices: in a batch mixer input power controls it (polyethylene,
/// Int. Polym. Process. 25 (2010) 297, abstract). The force on a chain's middle goes with stress times its entangled
/// length, hence limit ∝ 1/τ. In the solid, colder breaks less: cryogenic milling of poly(methyl methacrylate) degrades
/// much less than ambient (abstract); a brittle particle cleaves before chains are drawn.
/// @param peroxide_decayed in this exposure [mol/kg]
std::array<Scission, 4> scission_ways(const Exposure& e, double peroxide_decayed, const ScissionConstants& c);

/// Chains of a parcel, and the peroxide left in it.
struct ChainState {
  ChainDistribution chains{};
  double peroxide = 0;  ///< [mol/kg of stock]
};
/// Through one station: exact for the station's mean exposure. About half a millisecond at 20 classes a decade.
ChainState advance(ChainState state, const Exposure& e, const ScissionConstants& c);
/// After every station, shape (stations).
std::vector<ChainState> advance(const ChainState& inlet, const History& history, const ScissionConstants& c);

/// The same by averages, for ensembles: some 500 ns a station.
struct ChainAverageState {
  ChainAverages chains{};
  double peroxide = 0;  ///< [mol/kg of stock]
};
ChainAverageState advance(ChainAverageState state, const Exposure& e, const ScissionConstants& c);
std::vector<ChainAverageState> advance(const ChainAverageState& inlet, const History& history,
                                       const ScissionConstants& c);

}  // namespace quern
