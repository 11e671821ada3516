#pragma once
#include <span>
#include <string_view>
namespace quern {

/// A volatile in the melt of the polymer it is usually met in: vapour pressure, solubility, diffusion.
///
///   log10(p_sat / 133.322 Pa) = A - B/(T_C + C)     T_C in degC (Antoine)
///   D = D_ref exp(-E/R (1/T - 1/T_ref))             T_ref = 473.15 K
///
/// Vapour pressures hold within 4 % from 100 degC to 240 degC, hexane's to 200 degC; past its critical point, 235 degC,
/// they are a continuation. Diffusivity is an order of magnitude: it falls as the volatile leaves (free volume) and
/// differs between grades; one standard deviation is a factor of about two, in E about a third.
struct Volatile {
  std::string_view name{}, polymer{};
  double A = 0, B = 0, C = 0;  ///< [1], [K], [K]
  double density = 700;  ///< of the liquid at 200 degC [kg/m3]
  double interaction = 0.4;  ///< χ of Flory and Huggins at melt temperatures [1]
  double diffusivity = 1e-9;  ///< D_ref [m2/s]
  double activation = 40e3;  ///< E [J/mol]
  std::string_view basis{};  ///< where the numbers came from
};

/// A handful: water, styrene and solvents. Constants of Antoine from memory, those of all but styrene checked against
/// reference equations of state (volatiles_test); solubility and diffusivity from memory.
std::span<const Volatile> volatiles();

/// p_sat(T) [Pa].
double saturation_pressure(const Volatile& v, double T);
/// D(T) [m2/s].
double diffusivity(const Volatile& v, double T);

}  // namespace quern
