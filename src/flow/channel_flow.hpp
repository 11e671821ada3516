#pragma once
#include "geometry/section.hpp"
namespace quern {

/// Drag and pressure coefficients of an endless helical channel with leakage over its lands.
struct ChannelFlow {
  double A1 = 0;  ///< V/(N D³) at no pressure gradient [1]
  double B = 0;   ///< -dV/dG η/D⁴ [1]
};

/// Lubrication, solved exactly across the flights (docs/theory/element-flow, tan φ = lead/2πRb): with U = 2π Rb N split along the flight
/// (cos φ) and across it (sin φ), the flux across is one constant over a period W,
///   A1 = (π (2Rb/D) cos φ sin φ / 2D²) n (∫h dx - W ∫h⁻²dx/∫h⁻³dx),
///   B = n (sin²φ ∫h³dx + cos²φ W²/∫h⁻³dx)/(12 D⁴).
/// @param channels n: 2 z - 1 for twin screws of z starts (Booy 1980), z for one screw alone
/// @param gap clearance of the tips; 0: no leakage
ChannelFlow helical_channel(const Profile& p, double D, double lead, double channels, double gap);

/// How far a screw's outline reaches towards the other at height y over the plane of the axes [m].
/// @param turn angle of a tip from that plane [rad]
double reach(const Profile& p, double y, double turn);

}  // namespace quern
