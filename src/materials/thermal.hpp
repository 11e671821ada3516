#pragma once
namespace quern {

/// Heat content with a smoothed melting (or softening) step:
///
///   s(T) = 1/(1 + exp(-(T - Tm)/w)),  cp = cps + (cpm - cps) s + Δh ds/dT
///   h(T) = cps (T - T0) + (cpm - cps) w [ln(1 + e^((T-Tm)/w)) - ln(1 + e^((T0-Tm)/w))] + Δh [s(T) - s(T0)]
///
/// so that h is the exact integral of cp and its inverse is unique. T0 = 273.15 K.
/// An amorphous polymer has Δh = 0 and Tm = its flow temperature, at which granules fuse under shear.
/// 76 % of the step lies within 2 w of Tm, 96 % within 4 w. T_melt = 0 means no step: h = cpm (T - T0).
/// Common practice for solvers; no source. Derivation: docs/theory/materials.md.
struct Thermal {
  double cp_solid = 2000;         ///< [J/(kg K)]
  double cp_melt = 2000;          ///< [J/(kg K)]
  double T_melt = 0;              ///< middle of the step [K]; 0 for a liquid or filler: no step
  double width = 3;               ///< w [K]
  double fusion = 0;              ///< Δh, heat of fusion of the material as fed [J/kg]
  double conductivity = 0.2;      ///< of the melt [W/(m K)]
  double conductivity_solid = 0.2;
};

/// h(T) [J/kg], zero at 273.15 K.
double enthalpy(const Thermal& t, double T);
/// cp(T) = dh/dT [J/(kg K)], with the heat of fusion in it.
double heat_capacity(const Thermal& t, double T);
/// s(T) [1]: share molten at equilibrium; 1 for a liquid. For a filler ask Material::state first.
double melt_fraction(const Thermal& t, double T);
/// T with enthalpy(t, T) = h [K], to 1e-9 of T or better: Newton's method held inside a bracket.
/// @throws InputError when h lies outside 100 K to 1500 K
double temperature(const Thermal& t, double h);

}  // namespace quern
