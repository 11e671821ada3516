#pragma once
#include <vector>

#include "flow/element_shape.hpp"
namespace quern {

/// The gap between the two screws, seen along the height y from the lower cusp to the upper one, at one rotation.
/// The screws slide past each other with ω C everywhere. Unit of length the screw diameter, of time a turn.
struct NipGap {
  std::vector<double> gap;      ///< between the screws, at the middles of equal steps in y, shape (samples)
  std::vector<double>
      passage;  ///< its part between the rays from the axes to the cusps, through which melt passes along the axis
  std::vector<double> drag;  ///< flux carried upwards in the frame in which the flux is conserved, (ω C/2)(x1 - x2)
};

class NipStrip {
 public:
  /// @param samples heights at which the gap is looked at
  NipStrip(const ElementShape& shape, int samples);
  /// @param turn angle of a tip of the first screw from the line of centres [rad]
  NipGap at(double turn) const;
  double height() const { return 2 * cusp_; }
  double speed() const { return speed_; }  ///< ω C

 private:
  Profile profile_;
  double worn_radius_, centre_, cusp_, speed_;
  int samples_;
};

/// Flux that a nip without clearance hands from the lower cusp to the upper one, in the frame of the screws: ω (r1² - r2²)/2
/// at the point of contact. The closed form against which the strip between the screws is checked.
/// @param turn as in NipStrip::at
double sealed_nip_flux(const Profile& p, double turn);

}  // namespace quern
