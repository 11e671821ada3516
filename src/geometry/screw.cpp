#include "geometry/screw.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;
constexpr double mm = 1e3;
constexpr double tolerance = 1e-4;  // lengths close to 0.1 mm

void element_faults(std::vector<Fault>& faults, const Section& section, const Element& e, std::size_t i) {
  const auto refuse = [&](const char* field, std::string wrong, std::string right) {
    faults.push_back({.line = e.line, .field = fmt::format("screw.element[{}].{}", i, field), .wrong = std::move(wrong), .right = std::move(right)});
  };
  if (!(e.length > 0)) refuse("length", "not more than 0", "give a length, for example \"30 mm\"");
  if (e.kind == ElementKind::conveying && !(e.lead > 0)) refuse("lead", "missing or not more than 0", "give the advance of a flight in one turn, for example \"30 mm\"");
  if (e.kind == ElementKind::kneading) {
    if (e.discs < 1) refuse("discs", "missing or less than 1", "give the number of discs, for example 5");
    if (!(e.stagger > 0 && e.stagger < 2 * pi / e.starts))
      refuse("stagger", fmt::format("{:.4g} deg", e.stagger * 180 / pi), fmt::format("more than 0 and less than {:.4g} deg with {} starts", 360.0 / e.starts, e.starts));
  }
  if (e.kind == ElementKind::blister_ring && !(e.clearance > 0)) refuse("clearance", "missing", "give the ring's gap to the bore, for example \"1 mm\"");
  try {
    const Profile p = profile(section, e.starts);
    if (!e.characteristics && (e.kind == ElementKind::conveying || e.kind == ElementKind::kneading)) {
      if (p.barrel_gap() + e.clearance <= 0)
        refuse("characteristics", "the screw fills the bore: no clearance to compute tip shear with", "a barrel_bore larger than screw_diameter, or the element's characteristics");
      if (section.screw_gap <= 0) refuse("characteristics", "the screws touch: screw_gap is 0", "a screw_gap, for example \"0.2 mm\", or the element's characteristics");
    }
  } catch (const InputError& error) {
    for (const Fault& fault : error.faults()) refuse(fault.field.c_str(), fault.wrong, fault.right);
  }
}

/// Elements and zones laid over one another.
struct Layout {
  const std::vector<Zone>& zones;
  const Screw& screw;
  std::vector<Placed> places;
  std::vector<double> zone_from;

  Layout(const std::vector<Zone>& z, const Screw& s) : zones(z), screw(s), places(placement(s)) {
    double at = 0;
    for (const Zone& zone : z) zone_from.push_back(at), at += zone.length;
  }
  double open_from(std::size_t zone) const { return zone_from[zone] + 0.25 * zones[zone].length; }
  double open_to(std::size_t zone) const { return zone_from[zone] + 0.75 * zones[zone].length; }
};

bool restricts(const Element& e) {
  return e.kind == ElementKind::blister_ring || conveying_sense(e) == Hand::reverse || (e.kind == ElementKind::kneading && conveying_sense(e) == Hand::neutral);
}
bool kneads_or_restricts(const Element& e) { return e.kind == ElementKind::kneading || restricts(e); }

void port_warnings(std::vector<BuildWarning>& found, const Layout& l) {
  for (std::size_t z = 0; z < l.zones.size(); ++z) {
    const Port port = l.zones[z].port;
    if (port == Port::none) continue;
    bool sealed = false;
    for (std::size_t i = 0; i < l.places.size(); ++i) {
      const Element& e = l.screw.elements[i];
      sealed |= l.places[i].to <= l.open_from(z) && restricts(e);
      const bool under = l.places[i].to > l.open_from(z) + 1e-9 && l.places[i].from < l.open_to(z) - 1e-9;
      if (!under || !kneads_or_restricts(e)) continue;
      const char* name = port == Port::feed ? "feed port" : port == Port::vent ? "vent" : "side feed";
      found.push_back({l.places[i].from, fmt::format("{} under the {}", describe(e), name),
                       port == Port::vent ? "it stands full under the opening, so that stock climbs out of the vent"
                                          : "it stands full under the opening, so that feed backs up in the throat"});
    }
    if (port == Port::vent && !sealed)
      found.push_back({l.open_from(z), fmt::format("nothing restricts the flow ahead of the vent in zone \"{}\"", l.zones[z].name),
                       "without a full section upstream the vacuum draws air through the feed port"});
  }
}

void seal_warnings(std::vector<BuildWarning>& found, const Layout& l) {
  for (std::size_t z = 0; z + 1 < l.zones.size(); ++z) {
    const bool cold = l.zones[z].cooling == Cooling::chiller, next_cold = l.zones[z + 1].cooling == Cooling::chiller;
    if (!cold || next_cold) continue;
    const double border = l.zone_from[z + 1];
    bool seal = false;
    for (std::size_t i = 0; i < l.places.size(); ++i) seal |= std::fabs(l.places[i].to - border) < l.zones[z + 1].length && restricts(l.screw.elements[i]);
    if (!seal && l.zones[z + 1].heating)
      found.push_back({border, fmt::format("no reverse or neutral element within a zone of the border \"{}\" to \"{}\"", l.zones[z].name, l.zones[z + 1].name),
                       "a full section there parts powder from melt; without it melt can creep back and freeze in the chilled barrel"});
  }
}

void element_warnings(std::vector<BuildWarning>& found, const Section& section, const Layout& l, bool has_die) {
  const double D = section.screw_diameter;
  const auto& elements = l.screw.elements;
  for (std::size_t i = 0; i < elements.size(); ++i) {
    const Element& e = elements[i];
    const double at = l.places[i].from;
    if (e.kind == ElementKind::conveying && !e.characteristics && e.lead < 0.75 * D)
      found.push_back({at, fmt::format("{}: lead below 0.75 D", describe(e)), "flow computed for it lies outside the closure's range and may be 30 % off"});
    if (e.kind == ElementKind::kneading && !e.characteristics && e.disc_width() < 0.1 * D)
      found.push_back({at, fmt::format("{}: discs thinner than 0.1 D", describe(e)), "flow computed for it lies outside the closure's range and may be off by a factor of two"});
    if (i > 0 && e.starts != elements[i - 1].starts && e.kind != ElementKind::spacer_ring && elements[i - 1].kind != ElementKind::spacer_ring)
      found.push_back({at, fmt::format("{} starts meet {}", elements[i - 1].starts, e.starts), "profiles of different starts collide or leave dead corners where they meet; put a spacer ring or a transition between"});
  }
  if (!elements.empty() && has_die && (elements.back().kind != ElementKind::conveying || conveying_sense(elements.back()) != Hand::forward))
    found.push_back({l.places.back().from, fmt::format("the last element is {}", describe(elements.back())), "only a forward conveying element pumps well against the die"});
}

}  // namespace

std::vector<Placed> placement(const Screw& screw) {
  std::vector<Placed> places;
  double at = 0;
  for (const Element& e : screw.elements) {
    places.push_back({at, at + e.length});
    at += e.length;
  }
  return places;
}

std::vector<Fault> build_faults(const Section& section, double shaft_length, const std::vector<Zone>& zones, const Screw& screw) {
  std::vector<Fault> faults;
  try {
    (void)profile(section, section.starts);
  } catch (const InputError& error) {
    for (Fault fault : error.faults()) {
      fault.field = "machine." + fault.field;
      faults.push_back(fault);
    }
    return faults;
  }
  if (screw.elements.empty()) {
    faults.push_back({.field = "screw.element", .wrong = "no elements", .right = "at least one [[screw.element]]"});
    return faults;
  }
  double elements = 0, barrel = 0;
  for (std::size_t i = 0; i < screw.elements.size(); ++i) {
    element_faults(faults, section, screw.elements[i], i);
    elements += screw.elements[i].length;
  }
  for (const Zone& zone : zones) barrel += zone.length;
  if (const double off = elements - shaft_length; std::fabs(off) > tolerance)
    faults.push_back({.field = "screw",
                      .wrong = fmt::format("the elements add up to {:.2f} mm, {:.2f} mm {} the shaft: {} at the tip end", elements * mm, std::fabs(off) * mm,
                                           off > 0 ? "longer than" : "short of", off > 0 ? "an overhang" : "a gap"),
                      .right = fmt::format("lengths that add up to shaft_length, {:.2f} mm, within 0.1 mm", shaft_length * mm)});
  if (const double off = barrel - shaft_length; std::fabs(off) > tolerance)
    faults.push_back({.field = "machine.zone",
                      .wrong = fmt::format("the zones add up to {:.2f} mm, {:.2f} mm {} the shaft", barrel * mm, std::fabs(off) * mm, off > 0 ? "longer than" : "short of"),
                      .right = fmt::format("zone lengths that add up to shaft_length, {:.2f} mm", shaft_length * mm)});
  return faults;
}

std::vector<BuildWarning> build_warnings(const Section& section, const std::vector<Zone>& zones, const Screw& screw, bool has_die) {
  std::vector<BuildWarning> found;
  const Layout layout(zones, screw);
  port_warnings(found, layout);
  seal_warnings(found, layout);
  element_warnings(found, section, layout, has_die);
  return found;
}

}  // namespace quern
