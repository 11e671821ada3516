#pragma once
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "structure/coefficients.hpp"
#include "structure/volatiles.hpp"
namespace quern {

/// A port over the melt.
struct Vent {
  double position = 0;       ///< its middle, from the feed end [m]
  double pressure = 101325;  ///< absolute [Pa]; Exposure::pressure counts from the atmosphere
  double vapour_share = 1;   ///< mole share of this volatile in the gas there; 1 is nothing but its vapour [1]
};

/// A stretch of screw that stands partly filled and whose gas is that of a vent.
struct GasSpace {
  double from = 0, to = 0;  ///< from the feed end [m]
  double pressure = 101325;
  double vapour_share = 1;
};

/// Runs of partly filled molten stations with an open one among them: the gas of a vent reaches to the full lengths on
/// either side. A run no vent of the list lies in breathes the atmosphere; of several, the highest pressure counts.
/// @param mean history of the mean parcel
std::vector<GasSpace> gas_spaces(const History& mean, std::span<const Vent> vents);

/// Of one volatile in one melt. Coefficients as listed by degassing_coefficients().
struct DegassingParameters {
  Volatile substance{};
  double polymer_density = 750;  ///< of the melt [kg/m3]
  double renewal_time = 0.1;     ///< a surface lies open between two tips: 1/(n N) of n starts [s]
  std::vector<GasSpace> spaces{};
  double surface = 1;          ///< transfer of films and pools over that of ideal films
  double pool = 0.3;           ///< transfer of the rolling pools over that of an empty channel's films
  double foaming = 20;         ///< transfer while bubbles grow, over that of the surface alone
  double supersaturation = 2;  ///< partial pressure over the port's at which they do
  double diffusion = 1;        ///< multiplies the volatile's diffusivity
  double equilibrium = 1;      ///< multiplies the partial pressure over the melt
};

std::span<const Coefficient> degassing_coefficients();
DegassingParameters degassing_parameters(const Volatile& substance, const Coefficients& coefficients);

/// One volatile; both figures per mass of polymer [1]. Their sum stays.
struct VolatileContent {
  double in_melt = 0;
  double vented = 0;
  bool foamed = false;  ///< bubbles had a hand: the uncalibrated factor is in the result
};

/// k = 2 √(D/(π t)) [m/s], mean over the time t for which a deep film lies open: penetration into a half space.
/// Source: Higbie (1935); for screws Latinen (1962), Adv. Chem. Ser. 34, 235; values from memory.
double transfer_coefficient(double diffusivity, double time);

/// a = φ exp[(1 - φ) + χ (1 - φ)²]: partial over saturation pressure at volume share φ in a polymer of long chains.
/// Source: Flory (1953), Principles of Polymer Chemistry, ch. 12; value from memory.
double flory_huggins_activity(double volume_share, double interaction);

/// p1 = p_sat(T) (ρ_polymer/ρ_volatile) w exp(1 + χ): the limit of the above at low content [Pa]. Reads high above a
/// few per cent.
double partial_pressure(const DegassingParameters& p, double content, double T);
/// Its inverse, at most 1 [1].
double equilibrium_content(const DegassingParameters& p, double partial_pressure, double T);

/// Content after one station, in plug flow:
///
///   dw/dt = -F k a (w - w*),   k a = 2 √(D t_r/π) · surface · Exposure::surface · [1 + pool/(1 - fill)]
///
/// in closed form; t_r renewal time, w* in equilibrium with the vapour in the gas, F = foaming while the partial
/// pressure exceeds supersaturation times the port's pressure, else 1. Pools keep their surface while films shrink as
/// the channel fills, hence 1/(1 - fill). Nothing happens outside gas spaces, and melt takes nothing up.
///
/// Range: dilute, melt deeper than √(D t_r). Not in it: cooling by evaporation, reactions that make volatiles,
/// entrainment and vent flow, nucleation, stripping agents (but for vapour_share).
VolatileContent advance(VolatileContent content, const Exposure& exposure, const DegassingParameters& parameters);

/// After every station.
std::vector<VolatileContent> degas_along(VolatileContent content, const History& history,
                                         const DegassingParameters& parameters);

}  // namespace quern
