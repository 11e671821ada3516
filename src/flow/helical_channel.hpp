#pragma once
#include "geometry/section.hpp"
namespace quern {

/// Integrals of the gap h between a screw and its bore over one period of the profile (a tip land, two flanks, a
/// root), x the arc at the bore.
struct DepthIntegrals {
  double width = 0;        ///< W = 2π Rb/n [m]
  double h = 0;            ///< ∫ h dx [m2]
  double h_cubed = 0;      ///< ∫ h³ dx [m4]
  double per_h = 0;        ///< ∫ h⁻¹ dx [1]
  double per_h_squared = 0;  ///< ∫ h⁻² dx [1/m]
  double per_h_cubed = 0;    ///< ∫ h⁻³ dx [1/m2]
};

/// @param gap at the tips [m], more than 0; beyond the new screw's barrel gap the tips are worn down to it
DepthIntegrals depth_integrals(const Profile& p, double gap);

/// One channel of an endless helical screw in the dimensionless frame of Characteristics: V* = A1 - B p*,
/// P* = c + A1 p*.
struct ChannelFlow {
  double A1 = 0;
  double B = 0;
  double c = 0;  ///< power at no axial pressure gradient
};

/// Lubrication on the unwound channel, solved exactly across the flights: the flux normal to them is one constant
/// over a period, which gives conveying, pressure flow and the leak over the tips together.
///
///   tan φ = lead/(2π Rb),   b = 2 Rb/D,   hq = ∫h⁻²dx / ∫h⁻³dx
///   A1 = π b sin φ cos φ (∫h dx - W hq) / 2D²
///   B  = (sin²φ ∫h³dx + cos²φ W²/∫h⁻³dx) / 12D⁴
///   c  = π² b² [(1 + 3 sin²φ) ∫h⁻¹dx - 3 sin²φ hq ∫h⁻²dx]
///
/// Assumes flat, shallow channels with gentle flanks, no slip, a Newtonian liquid. Derived in
/// docs/theory/element-flow. A screw of n starts alone in a round bore has n such channels; two intermeshing
/// screws 2n - 1: Booy (1980), Polym. Eng. Sci. 20, 1220 (value from memory).
/// @param D screw diameter [m] @param lead [m], may be infinite: a straight disc
/// @param gap at the tips [m]; 0: no leak, and c is infinite
ChannelFlow helical_channel(const Profile& p, double D, double lead, double gap);

}  // namespace quern
