#pragma once
#include "base/error.hpp"
namespace quern {

/// The cross-section of the machine, as its maker's drawing gives it.
struct Section {
  double barrel_bore = 0;      ///< one bore of the figure-eight [m]
  double screw_diameter = 0;   ///< over the tips [m]
  double centre_distance = 0;  ///< between the shafts [m]
  int starts = 2;              ///< tips of one screw, unless an element says otherwise
  double screw_gap = 0;        ///< least clearance between the two screws [m]
  friend bool operator==(const Section&, const Section&) = default;
};

/// The self-wiping profile for a section and a number of starts, and the areas that follow.
/// Source: Booy (1978), Polym. Eng. Sci. 18, 973, re-derived in docs/theory/geometry.
struct Profile {
  int starts = 0;
  double R = 0;                 ///< tip radius [m]
  double Rb = 0;                ///< bore radius [m]
  double Ce = 0;                ///< centre distance less the screw gap: generates the profile [m]
  double psi = 0;               ///< half the intermesh angle, arccos(Ce/2R) [rad]
  double alpha = 0;             ///< tip angle = root angle, π/n - 2ψ [rad]
  double R_root = 0;            ///< Ce - R [m]
  double screw_area = 0;        ///< one screw [m2]
  double bore_area = 0;         ///< figure-eight [m2]
  double free_area = 0;         ///< bore less both screws [m2]
  double screw_perimeter = 0;   ///< one screw, π Ce exactly [m]
  double bore_perimeter = 0;    ///< figure-eight [m]
  double depth_max = 0;         ///< bore to root [m]
  double barrel_gap() const { return Rb - R; }  ///< [m]
};

/// @throws InputError with field names barrel_bore, screw_diameter, centre_distance, starts, screw_gap:
///   not positive; screw wider than bore; screws not meshing (C >= bore) or root radius not positive;
///   tip angle negative ("three starts need a diameter ratio of at most 1.366; this one has 1.55")
Profile profile(const Section& section, int starts);

/// Radius of one screw at an angle from a tip's centre [m]. Period 2π/n, even. @param angle [rad]
double radius(const Profile& p, double angle);

/// dr/dangle [m/rad]: zero on tips and roots, ∓R tan ψ where a flank meets its tip.
double radius_slope(const Profile& p, double angle);

/// Lateral surface of one helical screw per length of axis [m]. @param lead [m]; infinite: the perimeter
double helical_surface(const Profile& p, double lead);

}  // namespace quern
