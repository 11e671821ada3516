#pragma once
#include <span>

#include "structure/coefficients.hpp"
namespace quern {

/// Decay of a peroxide, first order: kd = k exp(-E/RT), and what it does to polypropylene.
///
/// Default: 2,5-dimethyl-2,5-di(tert-butylperoxy)hexane, 290.45 g/mol, kd = 1.98e12 exp(-14947 K/T) 1/s; Suwanda, Lew &
/// Balke (1988), J. Appl. Polym. Sci. 35, 1019 and 1033, value from memory. Tried between 160 and 240 degC.
struct Peroxide {
  double rate = 1.98e12;  ///< k [1/s]
  double activation = 124276.3;  ///< E [J/mol]
  double efficiency = 0.6;  ///< f: chain breaks per radical [1]
};
/// "peroxide_rate", "peroxide_activation", "peroxide_efficiency".
std::span<const Coefficient> peroxide_coefficients();
Peroxide peroxide(const Coefficients& fixed);

/// kd [1/s]. @param T [K], above 0
double decay_rate(const Peroxide& p, double T);
/// ln 2/kd [s]
double half_life(const Peroxide& p, double T);
/// Share of the peroxide that decays in a time at one temperature [1].
double decayed(const Peroxide& p, double T, double time);
/// 2 f times the peroxide decayed: scissions of polypropylene by its two radicals [mol/kg]. Breaks are random.
/// Other polymers crosslink or branch under peroxide (polyethylene): not for them.
/// @param amount of peroxide decayed [mol/kg of stock]
double scissions(const Peroxide& p, double amount);

/// Breaking by heat and by oxygen in the melt, random:
/// (1/100 kg/mol) Σ k exp(-E/R (1/T - 1/473.15 K)), k for a chain of 100 kg/mol at 200 degC.
///
/// Both are of Arrhenius form with constants that no source gives for a screw: oxygen's part depends on stabilizer, on
/// what air the feed carries and on peroxide groups of the resin itself. Results compare trials, no more.
struct HeatScission {
  double oxidative_rate = 3e-4;  ///< k in the presence of air [1/s]; 0 under nitrogen
  double oxidative_activation = 1e5;  ///< [J/mol]
  double thermal_rate = 1e-6;  ///< k without oxygen [1/s]
  double thermal_activation = 2e5;  ///< [J/mol]
};
/// "oxidation_rate", "oxidation_activation", "thermal_scission_rate", "thermal_scission_activation".
std::span<const Coefficient> heat_scission_coefficients();
HeatScission heat_scission(const Coefficients& fixed);

/// Scissions per mass and time [mol/(kg s)]. @param T [K], above 0
double scission_rate(const HeatScission& h, double T);

}  // namespace quern
