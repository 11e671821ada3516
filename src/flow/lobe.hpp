#pragma once
#include <vector>

#include "flow/element_shape.hpp"
namespace quern {

/// The gap between one screw and its bore, by profile angle (0 at a tip's centre), with the running integrals from
/// which the strip's coefficients are exact differences. Unit of length the screw diameter, of time a turn, viscosity 1.
///
/// At each angle: depth h, mobility M = h³/12 f, drag S = U h/2 d, Couette power U²/h w, with U = π Db. On a flank the
/// slope s = |grad h| enters by the exact laws of a wedge with one flat wall, f = 3 (s - atan s)/s³, d = atan(s)/s,
/// w = s/atan(s), taken as valid in any direction: a heuristic that docs/theory/element-solver checks.
class Lobe {
 public:
  Lobe(const ElementShape& shape, bool slopes, bool curvature);

  /// Over an interval of the profile angle, per radian of it.
  struct Sums {
    double resistance = 0;  ///< ∫ 1/M
    double drag = 0;  ///< ∫ S/M
    double drag_square = 0;  ///< ∫ S²/M
    double shear = 0;  ///< ∫ U²/h w
    double tip_shear = 0;  ///< its part on the lands of the tips
    double area = 0;  ///< ∫ h
    double resistance_axial = 0;  ///< ∫ 1/M of flow along the axis
  };
  Sums between(double from, double to) const;  ///< @pre to ≥ from

  double depth(double angle) const;
  double mobility_axial(double angle) const;
  double speed() const { return speed_; }  ///< U
  double land_edge() const { return edges_[1]; }  ///< half the angle of a tip's land

 private:
  struct Node {
    double sum[6], rate[6];
  };
  struct Gap {
    double depth, mobility, mobility_axial, drag, shear;
  };
  Gap gap(double a, bool flank) const;
  void fill(std::size_t segment);
  Sums running(double angle) const;  ///< from 0, angle within half a period

  Profile profile_;
  double worn_radius_, helix_, speed_, period_;
  bool slopes_, curvature_;
  double edges_[4]{};  ///< tip centre, land's edge, root's edge, root centre
  std::vector<Node> nodes_[3]{};
};

}  // namespace quern
