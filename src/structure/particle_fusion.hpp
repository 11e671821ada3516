#pragma once
#include "structure/size_distribution.hpp"
namespace quern {

/// Share of particles left when any two join alike: N/N0 = 1/(1 + K N0 t/2).
/// Source: Smoluchowski (1917), Z. phys. Chem. 92, 129, value from memory. @param doses K N0 t [1] ≥ 0
double number_left(double doses);

/// Neck between two touching spheres of a viscous liquid, over their radius: √(3 γ t/(2 η r)).
/// Source: Frenkel (1945), J. Phys. (USSR) 9, 385, value from memory; early stage, to about half the radius.
/// @param surface_tension γ [N/m] @param viscosity η [Pa s] @param radius r [m]
double neck_over_radius(double surface_tension, double time, double viscosity, double radius);
/// Rate at which that neck reaches the share `neck` of the radius: 3 γ/(2 η r neck²) [1/s].
double necking_rate(double surface_tension, double viscosity, double radius, double neck);

/// How particles join: a particle of class j meets, as the smaller or equal one, particles of class i ≥ j at the rate
/// rate[j] · partner[i] · mass[i] [1/s].
struct Joining {
  PerSize rate{};     ///< [1/s] (times what `partner` lacks of being a share)
  PerSize partner{};  ///< per mass in the class
};

/// Contacts of a packed powder: each particle touches others no smaller than itself in z places times their share in
/// the whole surface; smaller ones that touch it count at their own z.
///
///   rate_j = z k_j,   partner_i m_i = share of class i in the whole surface
///
/// Rates in a packed bed do not grow with the number per volume: Kapur & Fuerstenau (1969), Ind. Eng. Chem. Process
/// Des. Dev. 8, 56 (random coalescence), value from memory; surfaces as weights are ours.
/// @param per_contact k_j: rate at which a contact whose smaller side is of class j fuses [1/s] @param contacts z [1]
Joining packed_contacts(const PerSize& mass, const PerSize& per_contact, double contacts);

/// Any two join alike: K per unit of number, where class i holds m_i/2ⁱ particles.
Joining constant_kernel(double K);

/// Mass per mass and time that moves to the class above [1/s].
double joined_per_time(const PerSize& mass, const Joining& joining);

/// Masses after a time in which particles join. Sectional balance on classes of doubling volume, right in number and
/// mass: Hounslow, Ryall & Marshall (1988), AIChE J. 34, 1821, value from memory. Implicit in time, finest class first,
/// partners as at the start: error O(time²) a step; positive and mass kept for any time. Number falls by one a join as
/// steps shorten. Joins in the last class stay there.
PerSize joined(const PerSize& mass, const Joining& joining, double time);

}  // namespace quern
