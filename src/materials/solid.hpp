#pragma once
namespace quern {

/// A polymer as granules: what resists shear below the softening temperature.
///
///   σy(T, ε̇) = σref max(0.05, 1 + r log10(ε̇/ε̇ref)) g(T),  g = f + (1 - f) ℓ(T)/ℓ(T_ref),
///   ℓ(T) = w ln(1 + e^((T_zero - T)/w)), w = 5 K: a straight line from 1 at T_ref to the floor f at T_zero, rounded
struct Solid {
  double density = 900;              ///< of the granule [kg/m3]
  double bulk_loose = 500;           ///< as poured [kg/m3]
  double bulk_compacted = 650;       ///< in a packed kneading section [kg/m3]
  double size = 3e-3;                ///< granule diameter [m]
  double friction = 0.3;             ///< against steel [1]
  double yield = 30e6;               ///< σref at T_ref and rate_ref [Pa]
  double yield_T_ref = 296.15;       ///< [K]
  double yield_T_zero = 430;         ///< where the linear law reaches zero [K]
  double yield_rate_ref = 1e-3;      ///< [1/s]
  double yield_per_decade = 0.06;    ///< r [1]
  double yield_floor = 0.02;         ///< least g [1]
  double softening = 400;            ///< temperature at which powder begins to stick [K]
};

/// σy [Pa], always positive, its slope without a jump.
/// @param T granule or film temperature [K] @param rate strain rate [1/s]
double yield_stress(const Solid& s, double T, double rate);

}  // namespace quern
