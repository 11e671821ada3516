#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "geometry/port_opening.hpp"
namespace quern {
namespace {

/// Screw and barrel laid over one another.
struct Layout {
  double D = 0;
  const std::vector<Zone>& zones;
  const std::vector<Element>& elements;
  std::vector<Placed> places;
  std::vector<Placed> barrel;
  std::vector<PortOpening> openings;

  Layout(double diameter, const std::vector<Zone>& z, const Screw& screw)
      : D(diameter),
        zones(z),
        elements(screw.elements),
        places(placement(screw)),
        openings(port_openings(z, diameter)) {
    double at = 0;
    for (const Zone& zone : z) barrel.push_back({at, at + zone.length}), at += zone.length;
  }
};

constexpr double contact = 1e-6;  ///< parts that only touch do not overlap [m]
bool overlap(const Placed& a, const Placed& b) { return a.from < b.to - contact && b.from < a.to - contact; }

bool is_ring(const Element& e) { return e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring; }
bool is_reverse(const Element& e) { return conveying_sense(e) == Hand::reverse; }

/// Stands full and needs pressure to be passed.
bool is_restriction(const Element& e) {
  if (e.kind == ElementKind::blister_ring || is_reverse(e)) return true;
  return e.kind == ElementKind::kneading && conveying_sense(e) == Hand::neutral;
}

const char* name(Port port) {
  switch (port) {
    case Port::none:
      return "";
    case Port::feed:
      return "feed port";
    case Port::vent:
      return "vent";
    case Port::side_feed:
      return "side feed";
  }
  return "";
}

const char* why_under(Port port, const Element& e) {
  if (port == Port::vent)
    return is_restriction(e) ? "it stands full under the opening, so that melt rises into the vent"
                             : "discs run partly full at best and throw melt up into the opening";
  if (is_reverse(e)) return "it pushes against the feed, which backs up into the throat";
  return "it takes in less than open flights and grips loose granules, so that feed backs up or the drive stalls";
}

void warn_under_ports(std::vector<BuildWarning>& found, const Layout& l) {
  for (const PortOpening& opening : l.openings)
    for (std::size_t i = 0; i < l.elements.size(); ++i) {
      const Element& e = l.elements[i];
      const bool harmless = e.kind != ElementKind::kneading && !is_restriction(e);
      if (harmless || !overlap(l.places[i], opening.place)) continue;
      found.push_back(
          {l.places[i].from,
           fmt::format("{} under the {} of zone \"{}\"", describe(e), name(opening.port), l.zones[opening.zone].name),
           why_under(opening.port, e)});
    }
}

/// Restrictions fill what lies before them: a diameter or so is common. Common practice, no source.
void warn_filled_vents(std::vector<BuildWarning>& found, const Layout& l) {
  for (const PortOpening& opening : l.openings) {
    if (opening.port != Port::vent) continue;
    const double end = opening.place.to;
    for (std::size_t i = 0; i < l.elements.size(); ++i) {
      const double from = l.places[i].from;
      if (!is_restriction(l.elements[i]) || from < end - contact || from > end + l.D) continue;
      found.push_back({from,
                       fmt::format("{} within one diameter after the vent of zone \"{}\"", describe(l.elements[i]),
                                   l.zones[opening.zone].name),
                       "melt backs up before it and the full length can reach the opening"});
      break;
    }
  }
}

bool restricted_between(const Layout& l, double from, double to) {
  for (std::size_t i = 0; i < l.elements.size(); ++i)
    if (is_restriction(l.elements[i]) && l.places[i].from > from - contact && l.places[i].to < to + contact)
      return true;
  return false;
}

/// Each vent against the port before it.
void warn_unsealed_vents(std::vector<BuildWarning>& found, const Layout& l) {
  double last_opening = 0;
  for (const PortOpening& opening : l.openings) {
    const Placed here = opening.place;
    if (opening.port == Port::vent && !restricted_between(l, last_opening, here.from))
      found.push_back({here.from,
                       fmt::format("no restriction seals the vent of zone \"{}\" upstream", l.zones[opening.zone].name),
                       "without a full section ahead of it a vacuum draws air and powder from the port before"});
    last_opening = here.to;
  }
}

bool is_chilled(const Zone& zone) { return zone.cooling == Cooling::chiller; }
bool is_heated(const Zone& zone) { return zone.heating.has_value() && !is_chilled(zone); }

/// A border between a chilled and a heated zone wants a full section within one zone of it.
void warn_open_borders(std::vector<BuildWarning>& found, const Layout& l) {
  for (std::size_t z = 0; z + 1 < l.zones.size(); ++z) {
    const Zone &a = l.zones[z], &b = l.zones[z + 1];
    const bool border = (is_chilled(a) && is_heated(b)) || (is_heated(a) && is_chilled(b));
    if (!border || restricted_between(l, l.barrel[z].from, l.barrel[z + 1].to)) continue;
    found.push_back(
        {l.barrel[z].to, fmt::format("no melt seal between \"{}\" and \"{}\"", a.name, b.name),
         "without a full section there melt creeps into the chilled barrel and freezes, or powder passes unmelted"});
  }
}

void warn_discharge(std::vector<BuildWarning>& found, const Layout& l, bool has_die) {
  if (l.elements.empty()) return;
  const Element& last = l.elements.back();
  const std::string what = fmt::format("{} at the discharge", describe(last));
  if (is_reverse(last))
    found.push_back(
        {l.places.back().from, what, "it pushes the stock back from the exit, so that the screw cannot discharge"});
  else if (has_die && last.kind != ElementKind::conveying)
    found.push_back({l.places.back().from, what, "only forward flights build pressure well against a die"});
}

void warn_changes_of_starts(std::vector<BuildWarning>& found, const Layout& l) {
  for (std::size_t i = 1; i < l.elements.size(); ++i) {
    const Element &a = l.elements[i - 1], &b = l.elements[i];
    if (is_ring(a) || is_ring(b) || a.starts == b.starts) continue;
    found.push_back({l.places[i].from, fmt::format("{} starts next to {} without a spacer ring", a.starts, b.starts),
                     "the profiles do not meet: their tips scrape the other screw or leave corners where melt stays"});
  }
}

void warn_outside_closure(std::vector<BuildWarning>& found, const Layout& l) {
  for (std::size_t i = 0; i < l.elements.size(); ++i) {
    const Element& e = l.elements[i];
    if (e.characteristics) continue;
    if (e.kind == ElementKind::conveying && e.lead < 0.75 * l.D * (1 - 1e-9))
      found.push_back({l.places[i].from, describe(e) + ": lead below 0.75 D",
                       "its flow is computed outside the range of the closure and is less certain"});
    if (e.kind == ElementKind::kneading && e.disc_width() < 0.1 * l.D * (1 - 1e-9))
      found.push_back({l.places[i].from, describe(e) + ": discs narrower than 0.1 D",
                       "its flow is computed outside the range of the closure and may be off by a factor of two"});
  }
}

}  // namespace

std::vector<BuildWarning> build_warnings(const Section& section, const std::vector<Zone>& zones, const Screw& screw,
                                         bool has_die) {
  const Layout layout(section.screw_diameter, zones, screw);
  std::vector<BuildWarning> found;
  warn_under_ports(found, layout);
  warn_filled_vents(found, layout);
  warn_unsealed_vents(found, layout);
  warn_open_borders(found, layout);
  warn_discharge(found, layout, has_die);
  warn_changes_of_starts(found, layout);
  warn_outside_closure(found, layout);
  return found;
}

}  // namespace quern
