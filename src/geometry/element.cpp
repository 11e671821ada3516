#include "geometry/element.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <fmt/format.h>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double same_angle = 1e-6;  ///< [rad] far below what a spline can be cut to

std::string mm(double length) { return fmt::format("{:.4g} mm", 1e3 * length); }
std::string deg(double angle) { return fmt::format("{:.4g} deg", angle * 180 / pi); }

const char* word(Hand hand) {
  switch (hand) {
    case Hand::forward:
      return "forward";
    case Hand::neutral:
      return "neutral";
    case Hand::reverse:
      return "reverse";
  }
  return "";
}

Hand mirrored(Hand hand) {
  if (hand == Hand::neutral) return hand;
  return hand == Hand::forward ? Hand::reverse : Hand::forward;
}

bool is_ring(const Element& e) { return e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring; }

/// The hand as its owner would say it: as stated, unless half the period makes it neutral.
const char* stated_hand(const Element& e) { return word(conveying_sense(e) == Hand::neutral ? Hand::neutral : e.hand); }

/// What distinguishes this part from others of its kind.
std::string features(const Element& e) {
  switch (e.kind) {
    case ElementKind::conveying:
      return fmt::format("conveying, {} lead {}", mm(e.lead), word(e.hand));
    case ElementKind::kneading:
      return fmt::format("kneading, {} {}, {} {}", e.discs, e.discs == 1 ? "disc" : "discs", deg(e.stagger),
                         stated_hand(e));
    case ElementKind::spacer_ring:
      return "spacer ring";
    case ElementKind::blister_ring:
      return "blister ring";
  }
  return "";
}

/// Two starts go without saying.
std::string starts(const Element& e) {
  if (is_ring(e) || e.starts == 2) return "";
  return fmt::format(", {} {}", e.starts, e.starts == 1 ? "start" : "starts");
}

std::string clearance(const Element& e) {
  if (!(e.clearance > 0)) return "";
  return is_ring(e) ? fmt::format(", {} gap", mm(e.clearance)) : fmt::format(", worn {}", mm(e.clearance));
}

bool same(const std::optional<Characteristics>& a, const std::optional<Characteristics>& b) {
  if (a.has_value() != b.has_value()) return false;
  return !a || (a->A1 == b->A1 && a->B == b->B && a->P0 == b->P0 && a->P1 == b->P1);
}

bool is_positive(double x) { return std::isfinite(x) && x > 0; }

/// Collects what is wrong with one element.
struct Check {
  const Element& e;
  std::vector<Fault> faults{};

  void refuse(const char* field, std::string wrong, std::string right) {
    faults.push_back({.line = e.line, .field = field, .wrong = std::move(wrong), .right = std::move(right)});
  }
  void conveying() {
    if (!is_positive(e.lead))
      refuse("lead", mm(e.lead) + " is not a lead", "the advance of a flight in one turn, for example \"30 mm\"");
    if (e.hand == Hand::neutral) refuse("hand", "a flight has no neutral hand", "\"forward\" or \"reverse\"");
  }
  void kneading() {
    if (e.discs < 1) refuse("discs", fmt::format("{} discs", e.discs), "the number of discs, for example 5");
    const double period = 2 * pi / e.starts;
    if (!(e.stagger > same_angle && e.stagger < period - same_angle))
      refuse("stagger", deg(e.stagger) + " leaves the discs in line",
             fmt::format("more than 0 and less than {}, where the profile repeats", deg(period)));
    else if (e.hand == Hand::neutral && std::abs(e.stagger - period / 2) > same_angle)
      refuse("hand", fmt::format("discs staggered by {} are not neutral", deg(e.stagger)),
             fmt::format("\"forward\" or \"reverse\", or a stagger of {}", deg(period / 2)));
  }
  void common() {
    if (!is_positive(e.length)) refuse("length", mm(e.length) + " is not a length", "for example \"30 mm\"");
    if (!(std::isfinite(e.clearance) && e.clearance >= 0))
      refuse("clearance", mm(e.clearance) + " is not a clearance", "zero or more, for example \"0.2 mm\"");
    if (e.kind == ElementKind::blister_ring && e.clearance == 0 && !e.characteristics)
      refuse("clearance", "a blister ring without its gap to the bore", "the gap, for example \"1 mm\"");
  }
};

}  // namespace

bool operator==(const Element& a, const Element& b) {
  return a.kind == b.kind && a.hand == b.hand && a.starts == b.starts && a.length == b.length && a.lead == b.lead &&
         a.discs == b.discs && a.stagger == b.stagger && a.clearance == b.clearance &&
         same(a.characteristics, b.characteristics);
}

std::string describe(const Element& e) { return features(e) + starts(e) + clearance(e) + ", " + mm(e.length); }

Hand conveying_sense(const Element& e) {
  if (is_ring(e)) return Hand::neutral;
  if (e.kind == ElementKind::conveying) return e.hand;
  const double half_period = pi / e.starts;
  if (std::abs(e.stagger - half_period) < same_angle) return Hand::neutral;
  return e.stagger < half_period ? e.hand : mirrored(e.hand);
}

std::vector<Fault> element_faults(const Element& e) {
  Check check{e};
  check.common();
  if (!is_ring(e) && e.starts < 1) check.refuse("starts", fmt::format("{} starts", e.starts), "1, 2 or 3");
  else if (e.kind == ElementKind::conveying) check.conveying();
  else if (e.kind == ElementKind::kneading) check.kneading();
  return check.faults;
}

}  // namespace quern
