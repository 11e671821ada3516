#pragma once
#include "geometry/element.hpp"
#include "geometry/section.hpp"
namespace quern {

/// What an element looks like to the flow, with the screw diameter as the unit of length: one shape serves all sizes,
/// and left- and right-handed elements alike.
struct ElementShape {
  ElementKind kind = ElementKind::conveying;  ///< conveying or kneading
  int starts = 2;
  double bore = 1.01;         ///< of the barrel
  double centre = 0.8;        ///< distance of the shafts
  double screw_gap = 0.01;    ///< between the screws
  double wear = 0;            ///< added to the tip clearance
  double lead = 1;            ///< conveying
  int discs = 0;              ///< kneading
  double disc_width = 0;      ///< kneading
  double stagger = 0;         ///< kneading: in (0, π/starts], so that the discs convey forward or not at all [rad]
  friend bool operator==(const ElementShape&, const ElementShape&) = default;

  Profile profile() const;
  double tip_gap() const { return (bore - 1) / 2 + wear; }
  double length() const { return kind == ElementKind::kneading ? discs * disc_width : lead / starts; }
};

/// The shape of an element, rounded to a millionth of D and of a radian so that equal drawings meet, and whether the element is its mirror image (conveys backwards).
struct ShapeOfElement {
  ElementShape shape{};
  bool mirrored = false;
};
ShapeOfElement shape_of(const Section& section, const Element& element);

}  // namespace quern
