#pragma once
namespace quern {

/// Drag and pressure flow in a straight channel: reference forms that the closures are judged by. Newtonian, with
/// F_D, F_P the shape factors of drag and pressure flow,
///   Q = F_D W H V/2 - F_P W H³/(12 η) dp/dz,  F_D(q) + F_D(1/q) = 1 with q = H/W.
/// Source: Tadmor & Gogos (2006), Principles of Polymer Processing, 2nd ed. (value from memory; series re-derived).
/// @param depth_over_width H/W, more than 0
double drag_shape_factor(double depth_over_width);
double pressure_shape_factor(double depth_over_width);

/// Power law τ = K |γ̇|ⁿ⁻¹ γ̇ between plates, one of which slides with V against a pressure gradient.
struct PlaneFlow {
  double flow = 0;         ///< Q/(V W H) [1]
  double wall_stress = 0;  ///< at the sliding plate, in K (V/H)ⁿ [1]
};
/// Exact: velocity integrated over the gap, wall stress found so that the plates' speeds are met.
/// @param gradient (Hⁿ⁺¹/(K Vⁿ)) dp/dz [1], positive against the drag @param n power-law index, 0.1 to 1
PlaneFlow plane_flow(double gradient, double n);

/// Gradient at which drag and pressure flow cancel; 6 for n = 1.
double closed_discharge_gradient(double n);

}  // namespace quern
