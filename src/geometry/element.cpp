#include "geometry/element.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

std::string hand_word(Hand hand) { return hand == Hand::forward ? "forward" : hand == Hand::reverse ? "reverse" : "neutral"; }
bool same(const std::optional<Characteristics>& a, const std::optional<Characteristics>& b) {
  if (a.has_value() != b.has_value()) return false;
  return !a || (a->A1 == b->A1 && a->B == b->B && a->P0 == b->P0 && a->P1 == b->P1);
}
std::string starts_word(int starts) { return starts == 2 ? "" : fmt::format(", {} start{}", starts, starts == 1 ? "" : "s"); }

}  // namespace

bool operator==(const Element& a, const Element& b) {
  return a.kind == b.kind && a.hand == b.hand && a.starts == b.starts && a.length == b.length && a.lead == b.lead && a.discs == b.discs && a.stagger == b.stagger &&
         a.clearance == b.clearance && same(a.characteristics, b.characteristics);
}

std::string describe(const Element& e) {
  const double mm = 1e3;
  switch (e.kind) {
    case ElementKind::conveying: return fmt::format("conveying, {:.4g} mm lead {}{}, {:.4g} mm", e.lead * mm, hand_word(e.hand), starts_word(e.starts), e.length * mm);
    case ElementKind::kneading: {
      const Hand sense = conveying_sense(e);
      return fmt::format("kneading, {} discs, {:.4g} deg {}{}, {:.4g} mm", e.discs, e.stagger * 180 / pi, hand_word(sense == Hand::neutral ? sense : e.hand), starts_word(e.starts), e.length * mm);
    }
    case ElementKind::spacer_ring: return fmt::format("spacer ring, {:.4g} mm", e.length * mm);
    case ElementKind::blister_ring: return fmt::format("blister ring, {:.4g} mm gap, {:.4g} mm", e.clearance * mm, e.length * mm);
  }
  return "element";
}

Hand conveying_sense(const Element& e) {
  if (e.kind != ElementKind::kneading) return e.hand;
  const double period = 2 * pi / e.starts;
  double stagger = std::fmod(e.stagger, period);
  if (std::fabs(stagger - period / 2) < 1e-9 * period || stagger < 1e-9 * period || period - stagger < 1e-9 * period) return Hand::neutral;
  if (e.hand == Hand::neutral) return Hand::neutral;
  const bool advances = stagger < period / 2;
  return advances == (e.hand == Hand::forward) ? Hand::forward : Hand::reverse;
}

}  // namespace quern
