#include "flow/element_shape.hpp"

#include <boost/math/constants/constants.hpp>
#include <doctest/doctest.h>

using doctest::Approx;
using namespace quern;

namespace {

constexpr double deg = boost::math::constants::degree<double>();

/// A drawing of any size: two starts, diameter ratio 1.55, clearances 0.005 and 0.01 D.
Section drawing(double D) {
  return {.barrel_bore = 1.01 * D,
          .screw_diameter = D,
          .centre_distance = ((1 + 1 / 1.55) / 2 + 0.01) * D,
          .screw_gap = 0.01 * D};
}
Element conveying(double D, double lead, Hand hand = Hand::forward) {
  return {.hand = hand, .length = D, .lead = lead * D};
}
Element kneading(double D, double degrees, Hand hand = Hand::forward) {
  return {.kind = ElementKind::kneading, .hand = hand, .length = D, .discs = 5, .stagger = degrees * deg};
}

}  // namespace

TEST_CASE("element shape: machines of 25 and 50 mm drawn to scale have the same shapes, bit by bit") {
  for (const double lead : {0.75, 1.0, 1.5})
    CHECK(shape_of(drawing(0.025), conveying(0.025, lead)).shape ==
          shape_of(drawing(0.050), conveying(0.050, lead)).shape);
  for (const double stagger : {30.0, 45.0, 90.0})
    CHECK(shape_of(drawing(0.025), kneading(0.025, stagger)).shape ==
          shape_of(drawing(0.050), kneading(0.050, stagger)).shape);
}

TEST_CASE("element shape: lengths count in diameters, to a millionth") {
  const ElementShape c = shape_of(drawing(0.03), conveying(0.03, 1.5)).shape;
  CHECK(c.kind == ElementKind::conveying);
  CHECK(c.bore == 1.01);
  CHECK(c.centre == 0.832581);  // (1 + 1/1.55)/2 + 0.01 = 0.83258064...
  CHECK(c.screw_gap == 0.01);
  CHECK(c.lead == 1.5);
  CHECK(c.length() == 0.75);
  CHECK(c.tip_gap() == Approx(0.005).epsilon(1e-12));
  const ElementShape k = shape_of(drawing(0.03), kneading(0.03, 45)).shape;
  CHECK(k.kind == ElementKind::kneading);
  CHECK(k.disc_width == 0.2);
  CHECK(k.discs == 5);
  CHECK(k.stagger == 0.785398);
  CHECK(k.lead == 0);
  CHECK(k.length() == 1);
}

TEST_CASE("element shape: left and right hand share one shape, the left is its mirror image") {
  const ShapeOfElement right = shape_of(drawing(0.03), conveying(0.03, 1)),
                       left = shape_of(drawing(0.03), conveying(0.03, 1, Hand::reverse));
  CHECK(right.shape == left.shape);
  CHECK_FALSE(right.mirrored);
  CHECK(left.mirrored);
}

// Profiles of two starts repeat after half a turn: 60 degrees forward are 120 degrees reverse.
TEST_CASE("element shape: a stagger and what it leaves of a half turn share one shape, one of them mirrored") {
  const ShapeOfElement forward = shape_of(drawing(0.03), kneading(0.03, 60)),
                       beyond = shape_of(drawing(0.03), kneading(0.03, 120)),
                       back = shape_of(drawing(0.03), kneading(0.03, 120, Hand::reverse));
  CHECK(forward.shape == beyond.shape);
  CHECK(forward.shape == back.shape);
  CHECK_FALSE(forward.mirrored);
  CHECK(beyond.mirrored);
  CHECK_FALSE(back.mirrored);
  CHECK_FALSE(shape_of(drawing(0.03), kneading(0.03, 90)).mirrored);
}

TEST_CASE("element shape: wear makes another shape, with a wider gap at the tips") {
  Element worn = conveying(0.03, 1);
  worn.clearance = 0.3e-3;
  const ElementShape s = shape_of(drawing(0.03), worn).shape;
  CHECK(s != shape_of(drawing(0.03), conveying(0.03, 1)).shape);
  CHECK(s.tip_gap() == Approx(0.015).epsilon(1e-9));
}

TEST_CASE("element shape: its profile is the drawing's, scaled") {
  const Profile p = shape_of(drawing(0.03), conveying(0.03, 1)).shape.profile(), q = profile(drawing(0.03), 2);
  CHECK(p.R * 0.03 == Approx(q.R).epsilon(1e-6));
  CHECK(p.Rb * 0.03 == Approx(q.Rb).epsilon(1e-6));
  CHECK(p.R_root * 0.03 == Approx(q.R_root).epsilon(3e-6));
  CHECK(p.alpha == Approx(q.alpha).epsilon(1e-4));
  CHECK(p.free_area * 0.03 * 0.03 == Approx(q.free_area).epsilon(1e-5));
}
