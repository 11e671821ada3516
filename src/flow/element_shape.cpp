#include "flow/element_shape.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cassert>
#include <cmath>

namespace quern {

Profile ElementShape::profile() const {
  return quern::profile(
      {.barrel_bore = bore, .screw_diameter = 1, .centre_distance = centre, .starts = starts, .screw_gap = screw_gap},
      starts);
}

ShapeOfElement shape_of(const Section& section, const Element& e) {
  assert(e.kind == ElementKind::conveying || e.kind == ElementKind::kneading);
  const double D = section.screw_diameter, period = 2 * boost::math::constants::pi<double>() / e.starts;
  ShapeOfElement of;
  ElementShape& s = of.shape;
  s.kind = e.kind, s.starts = e.starts;
  s.bore = section.barrel_bore / D, s.centre = section.centre_distance / D, s.screw_gap = section.screw_gap / D;
  s.wear = e.clearance / D;
  of.mirrored = conveying_sense(e) == Hand::reverse;
  if (e.kind == ElementKind::conveying) {
    s.lead = e.lead / D;
  } else {
    s.lead = 0, s.discs = e.discs, s.disc_width = e.disc_width() / D;
    s.stagger = std::min(e.stagger, period - e.stagger);
  }
  for (double* x : {&s.bore, &s.centre, &s.screw_gap, &s.wear, &s.lead, &s.disc_width, &s.stagger})
    *x = std::round(*x * 1e6) / 1e6;
  return of;
}

}  // namespace quern
