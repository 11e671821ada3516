#include "io/screw_outline.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

/// Angle of a tip at a place of an element, and what the element turned by when it ends.
struct Twist {
  const Element& e;
  double start, from;
  double at(double x) const {
    const double sign = e.hand == Hand::reverse ? 1 : -1;
    if (e.kind == ElementKind::conveying) return start + sign * 2 * pi * (x - from) / e.lead;
    if (e.kind == ElementKind::kneading) {
      const auto disc = std::clamp(static_cast<int>((x - from) / e.disc_width()), 0, e.discs - 1);
      return start + sign * disc * e.stagger;
    }
    return start;
  }
};

/// Profile and radius of an element; a ring is round.
struct Shape {
  Profile p;
  bool round;
  double ring;
  double at(double angle) const { return round ? ring : radius(p, angle); }
};

Shape shape_of(const Section& section, const Element& e) {
  const Profile p = profile(section, e.starts);
  const bool round = e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring;
  return {p, round, e.clearance > 0 ? p.Rb - e.clearance : p.R_root};
}

/// Extent of a turned profile up and down the page.
std::pair<double, double> extent(const Shape& shape, double twist) {
  double up = -1, down = 1;
  constexpr int n = 180;
  for (int i = 0; i < n; ++i) {
    const double a = 2 * pi * i / n, y = shape.at(a - twist) * std::cos(a);
    up = std::max(up, y), down = std::min(down, y);
  }
  return {up, down};
}

/// Both edges of every tip land, broken where they pass to the far side.
void add_edges(ScrewOutline& out, const Shape& shape, const std::vector<double>& x, const std::vector<double>& twist) {
  if (shape.round) return;
  for (int tip = 0; tip < shape.p.starts; ++tip)
    for (const double side : {-0.5, 0.5}) {
      ScrewOutline::Edge run;
      const auto close = [&] {
        if (run.x.size() > 1) out.edges.push_back(run);
        run = {};
      };
      for (std::size_t i = 0; i < x.size(); ++i) {
        const double a = twist[i] + 2 * pi * tip / shape.p.starts + side * shape.p.alpha;
        if (i > 0 && std::fabs(twist[i] - twist[i - 1]) > 0.35) close();  // the next disc
        if (std::sin(a) <= 0) close();
        else run.x.push_back(x[i]), run.y.push_back(shape.p.R * std::cos(a));
      }
      close();
    }
}

}  // namespace

ScrewOutline screw_outline(const Section& section, const Screw& screw, bool second, int stations) {
  ScrewOutline out;
  const std::vector<Placed> places = placement(screw);
  if (places.empty()) return out;
  const double length = places.back().to;
  double turned = 0.6;  // any angle; this one shows tips on both sides at the feed end
  for (std::size_t k = 0; k < places.size(); ++k) {
    const Element& e = screw.elements[k];
    const Shape shape = shape_of(section, e);
    const double phase = second ? std::fmod(pi - pi / e.starts, 2 * pi / e.starts) : 0;
    const Twist twist{e, turned, places[k].from};
    const int discs = e.kind == ElementKind::kneading ? e.discs : 1;
    const int n = std::max(4 * discs, static_cast<int>(std::ceil((places[k].to - places[k].from) / length * stations)));
    std::vector<double> x, angle;
    for (int i = 0; i <= n; ++i) {
      const double at = places[k].from + e.length * i / n;
      x.push_back(at);
      angle.push_back(twist.at(std::clamp(at, places[k].from + 1e-9, places[k].to - 1e-9)) + phase);
      const auto [up, down] = extent(shape, angle.back());
      // an edge of a disc is upright: repeat the station with both extents
      if (!out.x.empty() && i > 0 && discs > 1 &&
          std::fabs(angle[static_cast<std::size_t>(i)] - angle[static_cast<std::size_t>(i) - 1]) > 1e-6) {
        const double last_up = out.upper.back(), last_down = out.lower.back();
        out.x.push_back(at), out.upper.push_back(last_up), out.lower.push_back(last_down);
      }
      out.x.push_back(at), out.upper.push_back(up), out.lower.push_back(down);
    }
    add_edges(out, shape, x, angle);
    out.joints.push_back(places[k].to);
    turned = twist.at(places[k].to - 1e-9);
  }
  return out;
}

}  // namespace quern
