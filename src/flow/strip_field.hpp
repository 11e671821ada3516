#pragma once
#include <memory>

#include "flow/element_shape.hpp"
#include "linear/strip_system.hpp"
namespace quern {

/// An endless run of the element, or the element alone between two planes of uniform pressure.
enum class Run { endless, block };

/// Cells of the unwound figure-eight. Errors fall with about the power 1.5 of `across`.
struct StripGrid {
  int across = 128;        ///< cells round one lobe
  int nip = 32;            ///< cells between the screws, from cusp to cusp
  int rows_per_disc = 8;   ///< along the axis, kneading
  int rows = 32;           ///< along the axis, conveying, over lead/starts
};

/// What the walls are made of in the model, so that tests and the docs can show what each part does.
struct StripModel {
  bool slopes = true;      ///< wedge factors on the flanks
  bool curvature = true;   ///< annulus factor on flow along the axis
  bool disc_edges = true;  ///< side faces and edges of kneading discs
  enum class Join { plain, sealed, nip } join = Join::nip;  ///< plain: a documented wrong limit
};

/// One rotation of both screws on the unwound figure-eight, as conductances and sources for viscosity 1, speed 1 turn
/// per unit of time, screw diameter 1. Three strands: the two lobes, counter-clockwise, and the nip, upwards. In the
/// frame of the screw the flux of a link is -conductance Δp - drag; that of a lobe is seen from the turning screw.
struct StripField {
  StripTopology topology{};
  double length = 0;  ///< of the axis
  double row = 0;     ///< length of one row of cells
  int lobe_links = 0;  ///< of each of the two lobes; what follows is the nip

  // shape (links, rows)
  std::vector<double> conductance{}, drag{};
  std::vector<double> drag_loss{};  ///< power of the pressure that drag makes within a link
  std::vector<double> shear{};      ///< Couette power of both halves
  std::vector<double> tip_shear{};  ///< its part on the lands of the tips
  std::vector<double> depth{};      ///< h at the link's middle
  std::vector<double> area{};       ///< of the link on the barrel or, in the nip, on the plane between the screws

  // shape (columns, rows)
  std::vector<double> along{};   ///< conductance to the next row
  std::vector<double> axial{};   ///< of a column in one row: flow along the axis per pressure gradient
  std::vector<double> before{};  ///< to the plane before the block, first row only (block)
  std::vector<double> after{};   ///< to the plane behind it, last row only (block)

  std::vector<double> source{};  ///< flux that enters through a sealed nip

  double link_speed(int link) const { return link < 2 * lobe_links ? lobe_speed : nip_speed; }
  double lobe_speed = 0, nip_speed = 0;  ///< of the moving wall
};

/// @param turn angle of a tip of the first screw from the line of centres, at the start of the element [rad]
class StripFields {
 public:
  StripFields(const ElementShape& shape, const StripGrid& grid, const StripModel& model, Run run);
  ~StripFields();
  StripField at(double turn) const;
  const StripTopology& topology() const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace quern
