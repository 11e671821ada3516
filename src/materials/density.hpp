#pragma once
namespace quern {

/// Density of a melt (or of a filler's particles).
///
///   constant  ρ
///   linear    ρ + (dρ/dT)(T - T_ref), at least 0.2 ρ
///   Tait      1/v,  v = v0 [1 - 0.0894 ln(1 + p/B)],  v0 = b1 + b2 (T-b5) + b6 (T-b5)²,  B = b3 exp(-b4 (T-b5))
///
/// The Tait law is that of the melt alone: the step on freezing belongs to the granule (Solid::density).
/// Tables in degC are written with b5 = 273.15 K. 0.0894 is the same for all polymers.
/// Outside the range of its fit v0 is kept above b1/2, and the bracket above 0.3.
/// Sources: Zoller (1989), Polymer Handbook; Danner & High (1993), Handbook of Polymer Solution Thermodynamics.
struct Density {
  enum class Law { constant, linear, tait };
  Law law = Law::constant;
  double rho = 1000;       ///< constant, linear: at T_ref [kg/m3]
  double slope = 0;        ///< linear: dρ/dT [kg/(m3 K)]
  double T_ref = 273.15;   ///< [K]
  double b1 = 1e-3;        ///< [m3/kg]
  double b2 = 0;           ///< [m3/(kg K)]
  double b3 = 1e8;         ///< [Pa]
  double b4 = 0;           ///< [1/K]
  double b5 = 273.15;      ///< [K]
  double b6 = 0;           ///< [m3/(kg K2)]
};

/// ρ(T, p) [kg/m3]. @param T [K] @param p above atmosphere [Pa]; below 0 counts as 0
double density(const Density& d, double T, double p = 0);

}  // namespace quern
