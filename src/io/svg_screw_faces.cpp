#include "io/svg_screw_faces.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {
constexpr double pi = std::numbers::pi;

double wrapped(double angle) { return angle - 2 * pi * std::floor((angle + pi) / (2 * pi)); }

double ring_radius(const Section& section, const Element& e) {
  const double bore = section.barrel_bore / 2;
  const double root = section.centre_distance - section.screw_gap - section.screw_diameter / 2;
  return e.clearance > 0 ? std::max(bore - e.clearance, 0.0) : root;
}

/// Angle and crosswise place of a section's outermost points on both sides.
struct Extremes {
  double angle_low = 0, angle_high = 0;
  double low = 0, high = 0;          ///< crosswise, from the screw's own axis [m]
  double height_low = 0, height_high = 0;
};

Extremes extremes(const Profile& p, double phase) {
  constexpr int samples = 180;
  Extremes e;
  for (int i = 0; i < samples; ++i) {
    const double angle = -pi + 2 * pi * i / samples;
    const double r = radius(p, angle - phase), y = r * std::sin(angle);
    if (y < e.low) e.low = y, e.angle_low = angle, e.height_low = r * std::cos(angle);
    if (y > e.high) e.high = y, e.angle_high = angle, e.height_high = r * std::cos(angle);
  }
  return e;
}

/// Crosswise limits of what each screw shows: the lower one ends where the upper one begins.
void hide(std::array<Extremes, 2>& e, double C, Seen& seen) {
  seen.low = {-C / 2 + e[0].low, C / 2 + e[1].low};
  seen.high = {-C / 2 + e[0].high, C / 2 + e[1].high};
  if (seen.high[0] <= seen.low[1]) return;
  if (e[0].height_high > e[1].height_low) seen.low[1] = seen.high[0];
  else seen.high[0] = seen.low[1];
}

void add(std::vector<Strip>& strips, Strip s, double low, double high) {
  s.low = std::clamp(s.low, low, high);
  s.high = std::clamp(s.high, low, high);
  if (s.high > s.low) strips.push_back(s);
}

/// One screw as it stands: where its axis lies, how far it is turned, what of it the other leaves in sight.
struct Standing {
  const Profile& p;
  double phase, axis;
  const Extremes& e;
  double low, high;
};
/// A face of a tip's period, between two angles.
struct Arc {
  Face face;
  int tip;
  double a, b;
};

/// A face as far as it looks upwards.
void add_face(std::vector<Strip>& strips, const Standing& s, const Arc& arc) {
  const double middle = wrapped((arc.a + arc.b) / 2), half = (arc.b - arc.a) / 2;
  const double from = std::max(middle - half, s.e.angle_low), to = std::min(middle + half, s.e.angle_high);
  if (!(to > from)) return;
  const auto y = [&](double angle) { return s.axis + radius(s.p, angle - s.phase) * std::sin(angle); };
  add(strips, {arc.face, arc.tip, y(from), y(to)}, s.low, s.high);
}

/// Stock between two tips, seen on the bore's surface, from the flank that pushes it.
void add_stock(std::vector<Strip>& strips, const Profile& p, double axis, int tip, double a, double b, double low,
               double high) {
  for (const double shift : {-2 * pi, 0.0, 2 * pi}) {
    const double from = std::max(a + shift, -pi / 2), to = std::min(b + shift, pi / 2);
    if (to > from) add(strips, {Face::root, tip, axis + p.Rb * std::sin(from), axis + p.Rb * std::sin(to)}, low, high);
  }
}

}  // namespace

std::vector<Turn> turns(const Section& section, const Screw& screw) {
  std::vector<Turn> list;
  const std::vector<Placed> placed = placement(screw);
  double phase = 0;
  for (std::size_t i = 0; i < screw.elements.size(); ++i) {
    const Element& e = screw.elements[i];
    const double sense = e.hand == Hand::reverse ? 1 : -1;
    Turn t{e.kind, i, placed[i].from, placed[i].to, phase, phase, e.starts, 0};
    if (e.kind == ElementKind::conveying) {
      t.phase_to = phase + sense * 2 * pi * e.length / e.lead;
      list.push_back(t);
      phase = t.phase_to;
    } else if (e.kind == ElementKind::kneading) {
      const int discs = std::max(e.discs, 1);
      for (int d = 0; d < discs; ++d) {
        t.from = placed[i].from + e.length * d / discs;
        t.to = placed[i].from + e.length * (d + 1) / discs;
        t.phase_from = t.phase_to = phase + sense * d * e.stagger;
        list.push_back(t);
      }
      phase = t.phase_to;
    } else {
      t.ring_radius = ring_radius(section, e);
      list.push_back(t);
    }
  }
  return list;
}

Seen seen_from_above(const Profile& p, double C, double phase, double fill) {
  const double period = 2 * pi / p.starts;
  // Tips of one screw meet roots of the other: half a turn for the direction, half a period for the root.
  const std::array<double, 2> phases{phase, phase + pi + period / 2};
  std::array<Extremes, 2> e{extremes(p, wrapped(phases[0])), extremes(p, wrapped(phases[1]))};
  Seen seen;
  hide(e, C, seen);
  for (std::size_t screw = 0; screw < 2; ++screw) {
    const double axis = screw == 0 ? -C / 2 : C / 2;
    const double stock_low = screw == 0 ? -C / 2 - p.Rb : std::max(0.0, seen.high[0]);
    const double stock_high = screw == 0 ? std::min(0.0, seen.low[1]) : C / 2 + p.Rb;
    const Standing standing{p, phases[screw], axis, e[screw], seen.low[screw], seen.high[screw]};
    for (int tip = 0; tip < p.starts; ++tip) {
      const double t = wrapped(phases[screw] + tip * period);
      const double edges[] = {t - p.alpha / 2, t + p.alpha / 2, t + p.alpha / 2 + 2 * p.psi,
                              t + 1.5 * p.alpha + 2 * p.psi, t - p.alpha / 2 + period};
      for (int f = 0; f < 4; ++f)
        add_face(seen.faces[screw], standing, {static_cast<Face>(f), tip, edges[f], edges[f + 1]});
      if (fill > 0)
        add_stock(seen.stock[screw], p, axis, tip, edges[1], edges[1] + std::min(fill, 1.0) * (edges[4] - edges[1]),
                  stock_low, stock_high);
    }
  }
  return seen;
}

Seen seen_ring(const Profile& p, double C, double r, double fill) {
  Seen seen;
  for (std::size_t screw = 0; screw < 2; ++screw) {
    const double axis = screw == 0 ? -C / 2 : C / 2;
    seen.low[screw] = screw == 0 ? axis - r : std::max(axis - r, 0.0);
    seen.high[screw] = screw == 0 ? std::min(axis + r, 0.0) : axis + r;
    seen.faces[screw].push_back({Face::root, 0, seen.low[screw], seen.high[screw]});
    // Seen on both sides of the ring, as wide as the annulus is filled.
    const double gap = std::min(fill, 1.0) * (p.Rb - r);
    if (screw == 0) add(seen.stock[0], {Face::root, 0, seen.low[0] - gap, seen.low[0]}, axis - p.Rb, 0);
    else add(seen.stock[1], {Face::root, 0, seen.high[1], seen.high[1] + gap}, 0, axis + p.Rb);
    if (screw == 0) add(seen.stock[0], {Face::root, 1, seen.high[0], seen.high[0] + gap}, axis - p.Rb, 0);
    else add(seen.stock[1], {Face::root, 1, seen.low[1] - gap, seen.low[1]}, 0, axis + p.Rb);
  }
  return seen;
}

}  // namespace quern
