#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/error.hpp"
namespace quern {

enum class ElementKind { conveying, kneading, spacer_ring, blister_ring };
enum class Hand { forward, neutral, reverse };

/// V* = A1 - B p*, P* = P0 - P1 V* with V* = V/(N D³), p* = dp/dz D/(η N), P* = P/(η N² D² L), D the screw diameter.
/// After Pawlowski (1971). Reciprocity asks P1 = A1/B.
struct Characteristics {
  double A1 = 0, B = 0, P0 = 0, P1 = 0;
  friend bool operator==(const Characteristics&, const Characteristics&) = default;
};

/// One screw element (on both shafts).
struct Element {
  ElementKind kind = ElementKind::conveying;
  Hand hand = Hand::forward;          ///< kneading: sense in which the discs advance
  int starts = 2;
  double length = 0;                  ///< [m]
  double lead = 0;                    ///< conveying: axial advance of one flight in a turn [m]
  int discs = 0;                      ///< kneading
  double stagger = 0;                 ///< kneading: angle between neighbouring discs, in (0, 2π/starts) [rad]
  double clearance = 0;               ///< rings: gap to the bore [m]; else wear, added to the tip clearance [m]
  std::optional<Characteristics> characteristics{};  ///< given by the user, instead of computed
  int line = 0;                       ///< where the project file names it; 0 unknown
  double disc_width() const { return discs > 0 ? length / discs : 0; }  ///< [m]
  friend bool operator==(const Element& a, const Element& b);  ///< same part; ignores `line`
};

/// "kneading, 5 discs, 45 deg forward, 30 mm": what the element is, in the trade's words.
std::string describe(const Element& element);

/// The sense in which a kneading block of these starts and stagger conveys: a profile of n starts repeats
/// after 2π/n, so a stagger s and 2π/n - s are mirror images and half the period is neutral.
/// E.g. two starts: 45 deg forward conveys, 90 neutral, 120 "forward" conveys backwards.
/// A screw of helical flights conveys by its hand; rings do not convey.
Hand conveying_sense(const Element& element);

/// Numbers of an element that cannot be, whatever the machine. Field names as in the project file, e.g. "stagger".
std::vector<Fault> element_faults(const Element& element);

}  // namespace quern
