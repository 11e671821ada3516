#include "geometry/screw.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace quern {
namespace {

constexpr double closing_tolerance = 1.0001e-4;  ///< lengths close within 0.1 mm [m]

std::string mm(double length) { return fmt::format("{:.6g} mm", std::round(1e5 * length) / 1e2); }

bool is_ring(const Element& e) { return e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring; }

/// Faults of one part of the section, under the table they were written in.
std::vector<Fault> profile_faults(const Section& section, int starts) {
  try {
    profile(section, starts);
    return {};
  } catch (const InputError& error) {
    return error.faults();
  }
}

/// A tip or a ring that no longer leaves metal.
std::vector<Fault> clearance_faults(const Section& section, const Element& e) {
  const Profile p = profile(section, section.starts);
  const double most = is_ring(e) ? p.Rb : p.R - p.R_root;
  if (!(e.clearance >= most)) return {};
  return {{.field = "clearance",
           .wrong = fmt::format("{} leaves nothing of the {}", mm(e.clearance), is_ring(e) ? "ring" : "flights"),
           .right = "less than " + mm(most)}};
}

/// Shear in a gap of nothing cannot be computed: told once, for all elements that are to be computed.
void append_gap_faults(std::vector<Fault>& faults, const Section& section, const Screw& screw) {
  const double barrel_gap = (section.barrel_bore - section.screw_diameter) / 2;
  const auto is_computed = [](const Element& e) { return !is_ring(e) && !e.characteristics; };
  const auto fills_bore = [&](const Element& e) { return is_computed(e) && barrel_gap + e.clearance <= 0; };
  if (std::any_of(screw.elements.begin(), screw.elements.end(), fills_bore))
    faults.push_back({.field = "machine.barrel_bore",
                      .wrong = "the screw fills the bore: without a tip clearance no element can be computed",
                      .right = "a barrel_bore larger than screw_diameter, or characteristics for every element"});
  if (section.screw_gap <= 0 && std::any_of(screw.elements.begin(), screw.elements.end(), is_computed))
    faults.push_back({.field = "machine.screw_gap",
                      .wrong = "the screws touch: without a gap between them no element can be computed",
                      .right = "a screw_gap, for example \"0.2 mm\", or characteristics for every element"});
}

void append(std::vector<Fault>& faults, std::vector<Fault> more, const std::string& table, int line) {
  for (Fault& fault : more) {
    fault.field = table + "." + fault.field;
    if (line > 0) fault.line = line;
    faults.push_back(std::move(fault));
  }
}

/// Elements written once and repeated are told once; indices count what the file says.
void append_element_faults(std::vector<Fault>& faults, const Section& section, const Screw& screw) {
  int index = -1, line = 0;
  for (const Element& e : screw.elements) {
    if (e.line > 0 && e.line == line) continue;
    line = e.line;
    const std::string table = fmt::format("screw.element[{}]", ++index);
    append(faults, element_faults(e), table, e.line);
    if (!is_ring(e) && e.starts >= 1 && e.starts != section.starts)
      append(faults, profile_faults(section, e.starts), table, e.line);
    append(faults, clearance_faults(section, e), table, e.line);
  }
}

/// Which side does not close: elements are pushed on from the feed end, so what is missing shows at the tip.
void append_closure_fault(std::vector<Fault>& faults, const char* field, const char* what,
                          const char* consequence_short, const char* consequence_long, double sum, double shaft) {
  const double off = sum - shaft;
  if (std::abs(off) <= closing_tolerance) return;
  faults.push_back({.field = field,
                    .wrong = off < 0 ? fmt::format("the {} add up to {}, {} short of the shaft: {}", what, mm(sum),
                                                   mm(-off), consequence_short)
                                     : fmt::format("the {} add up to {}, {} longer than the shaft: {}", what, mm(sum),
                                                   mm(off), consequence_long),
                    .right = fmt::format("lengths that add up to shaft_length, {}, within 0.1 mm", mm(shaft))});
}

void append_zone_faults(std::vector<Fault>& faults, const std::vector<Zone>& zones) {
  for (std::size_t i = 0; i < zones.size(); ++i)
    if (!(std::isfinite(zones[i].length) && zones[i].length > 0))
      faults.push_back({.line = zones[i].line,
                        .field = fmt::format("machine.zone[{}].length", i),
                        .wrong = mm(zones[i].length) + " is not a length",
                        .right = "for example \"120 mm\""});
  if (zones.empty())
    faults.push_back({.field = "machine.zone", .wrong = "no zones", .right = "at least one [[machine.zone]]"});
}

void append_closure_faults(std::vector<Fault>& faults, double shaft, const std::vector<Zone>& zones,
                           const Screw& screw) {
  double elements = 0, barrel = 0;
  for (const Element& e : screw.elements) elements += e.length;
  for (const Zone& zone : zones) barrel += zone.length;
  append_closure_fault(faults, "screw", "elements", "a gap at the tip end",
                       "the last elements stand out at the tip end", elements, shaft);
  append_closure_fault(faults, "machine.zone", "zones", "the tip stands bare", "barrel without a screw at the tip end",
                       barrel, shaft);
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

std::vector<Fault> build_faults(const Section& section, double shaft_length, const std::vector<Zone>& zones,
                                const Screw& screw) {
  std::vector<Fault> faults;
  append(faults, profile_faults(section, section.starts), "machine", 0);
  if (!faults.empty()) return faults;  // elements cannot be judged in a section that cannot be
  if (screw.elements.empty())
    faults.push_back({.field = "screw.element", .wrong = "no elements", .right = "at least one [[screw.element]]"});
  append_element_faults(faults, section, screw);
  append_gap_faults(faults, section, screw);
  append_zone_faults(faults, zones);
  if (!(std::isfinite(shaft_length) && shaft_length > 0))
    faults.push_back({.field = "machine.shaft_length",
                      .wrong = mm(shaft_length) + " is not a length",
                      .right = "for example \"1080 mm\""});
  if (faults.empty()) append_closure_faults(faults, shaft_length, zones, screw);
  return faults;
}

}  // namespace quern
