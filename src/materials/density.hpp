#pragma once
namespace quern {

/// Density of a melt (or of a filler's particles).
struct Density {
  enum class Law { constant, linear, tait };
  Law law = Law::constant;
  double rho = 1000;   ///< constant, linear: at T_ref [kg/m3]
  double slope = 0;    ///< linear: dρ/dT [kg/(m3 K)]
  double T_ref = 273.15;
  /// Tait, melt domain: v = v0 [1 - 0.0894 ln(1 + p/B)], v0 = b1 + b2 (T-b5) [+ b6 (T-b5)²], B = b3 exp(-b4 (T-b5)).
  double b1 = 1e-3, b2 = 0, b3 = 1e8, b4 = 0, b5 = 273.15, b6 = 0;
};

/// ρ(T, p) [kg/m3]. Sources: Tait form after Zoller (1989), Polymer Handbook; C = 0.0894 universal.
double density(const Density& d, double T, double p = 0);

}  // namespace quern
