#include "flow/element_flow.hpp"

#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <numbers>
#include <numeric>

#include "flow/channel_flow.hpp"

namespace quern {
namespace {

using std::numbers::pi;
using Gauss = boost::math::quadrature::gauss<double, 30>;

/// One period of the bore, centred on a tip: ∫ f(h) dx over land, two flanks and root; x is the arc at the bore.
template <class F>
double over_period(const Profile& p, double gap, const F& f) {
  const double wear = gap - p.barrel_gap();  // extra clearance moves the whole profile inwards
  const auto flank = [&](double theta) {
    const double s = p.R * std::sin(theta);
    return f(p.Rb - (std::sqrt(p.Ce * p.Ce - s * s) - p.R * std::cos(theta)) + wear);
  };
  // the thin end of the flank is steep for h^-3: split it towards the tip
  const double end = 2 * p.psi;
  double flanks = 0, from = 0;
  for (const double to : {0.6 * end, 0.85 * end, 0.96 * end, end}) flanks += Gauss::integrate(flank, from, to), from = to;
  return p.Rb * (p.alpha * f(gap) + p.alpha * f(p.Rb - p.R_root + wear) + 2 * flanks);
}

double hard_gap(const Profile& p, const Element& e) { return std::max(p.barrel_gap() + e.clearance, 0.0); }
double soft_gap(const Profile& p, const Element& e) { return std::max(hard_gap(p, e), 0.002 * 2 * p.R); }

/// ∫ η (ωC)²/g dy between the screws, over η N² D² per length, mean over rotation. The screws slide past each
/// other with ωC everywhere; g is their horizontal distance (docs/theory/element-flow, nip).
double nip_integral(const Section& section, const Profile& p) {
  const double C = section.centre_distance, gap_floor = std::max(section.screw_gap, 0.0005 * section.screw_diameter);
  const double y_end = p.Rb * std::sin(std::acos(C / (2 * p.Rb)));
  constexpr int turns = 24, rows = 64;
  const double phase = std::fmod(pi - pi / p.starts, 2 * pi / p.starts);
  double total = 0;
  for (int k = 0; k < turns; ++k) {
    const double turn = (k + 0.5) / turns * 2 * pi / p.starts;
    for (int i = 0; i < rows; ++i) {
      const double y = y_end * (2 * (i + 0.5) / rows - 1);
      const double x1 = reach(p, y, turn), x2 = reach(p, -y, turn + phase + pi);
      total += 1 / std::max(C - x1 - x2, gap_floor);
    }
  }
  const double mean = total / turns * 2 * y_end / rows;  // ∫ dy/g
  return 4 * pi * pi * C * C * mean / (section.screw_diameter * section.screw_diameter);
}

ElementFlow shared(const Section& section, const Profile& p, const Element& e) {
  ElementFlow flow;
  flow.free_area = p.free_area + (e.clearance > 0 ? 2 * p.screw_perimeter * e.clearance : 0);
  flow.wetted_bore = p.bore_perimeter;
  flow.tip_land = 2 * p.starts * p.alpha * p.R;
  flow.tip_shear_rate = pi * section.screw_diameter / soft_gap(p, e);
  flow.shear_rate_pressure = pi * section.screw_diameter / (p.free_area / p.bore_perimeter);
  return flow;
}

void set_power(ElementFlow& flow, double c, double D) {
  Characteristics& line = flow.line;
  line.P1 = line.A1 / line.B;
  line.P0 = c + line.A1 * line.P1;
  flow.shear_rate_power = std::sqrt(c * D * D / flow.free_area);
}

double couette(const Profile& p, double gap, double nip) {
  return pi * pi * (2 * p.starts - 1) * over_period(p, gap, [](double h) { return 1 / h; }) + nip;
}

/// Passage straight along the axis past the disc edges, no flow around: per line of the bore the discs' h³ in series.
double edge_passage(const Profile& p, const Element& e, double gap) {
  const double period = 2 * pi / p.starts, wear = gap - p.barrel_gap();
  const long turn = std::lround(period * 18000 / pi), step = std::lround(e.stagger * 18000 / pi);  // 0.01 deg
  const int discs = static_cast<int>(std::clamp(turn / std::gcd(step, turn), 1L, 48L));  // phases until the stack repeats
  constexpr int n = 720;
  double sum = 0;
  for (int i = 0; i < n; ++i) {
    const double at = (i + 0.5) / n * period;
    double resistance = 0;
    for (int j = 0; j < discs; ++j) resistance += std::pow(std::max(p.Rb - radius(p, at + j * e.stagger) + wear, 1e-12), -3);
    sum += discs / resistance;
  }
  return (2 * p.starts - 1) * sum / n * period * p.Rb / (12 * std::pow(2 * p.R, 4));
}

ElementFlow conveying(const Section& section, const Profile& p, const Element& e, double nip) {
  const double sign = e.hand == Hand::reverse ? -1 : 1, D = section.screw_diameter;
  ElementFlow flow = shared(section, p, e);
  const ChannelFlow channel = helical_channel(p, D, e.lead, 2 * p.starts - 1, hard_gap(p, e));
  flow.line.A1 = sign * channel.A1, flow.line.B = channel.B;
  flow.solid_advance = sign * e.lead;
  flow.relative_uncertainty = e.lead >= 0.75 * D ? 0.2 : 0.35;
  set_power(flow, couette(p, soft_gap(p, e), nip), D);
  return flow;
}

ElementFlow kneading(const Section& section, const Profile& p, const Element& e, double nip) {
  const double D = section.screw_diameter, period = 2 * pi / p.starts;
  const Hand sense = conveying_sense(e);
  const double stagger = std::min(e.stagger, period - e.stagger);  // the shorter way round
  const double forward = 2 * pi / stagger * e.disc_width(), back = 2 * pi / (period - stagger) * e.disc_width();
  const double gap = hard_gap(p, e);
  const ChannelFlow with = helical_channel(p, D, forward, 2 * p.starts - 1, gap), against = helical_channel(p, D, back, 2 * p.starts - 1, gap);
  const double sign = sense == Hand::forward ? 1 : sense == Hand::reverse ? -1 : 0;
  ElementFlow flow = shared(section, p, e);
  flow.line.A1 = sign * (with.A1 - against.A1);
  flow.line.B = with.B + against.B + edge_passage(p, e, gap);
  flow.solid_advance = sign * forward;
  flow.relative_uncertainty = e.disc_width() >= 0.1 * D ? 0.35 : 0.6;
  set_power(flow, couette(p, soft_gap(p, e), nip), D);
  return flow;
}

/// Smooth or blister ring: two annuli that share the barrel's figure-eight.
ElementFlow ring(const Section& section, const Profile& p, const Element& e) {
  const double D = section.screw_diameter;
  const double gap = e.clearance > 0 ? e.clearance : p.Rb - p.R_root;
  ElementFlow flow;
  flow.wetted_bore = p.bore_perimeter;
  flow.free_area = p.bore_perimeter * gap;
  flow.tip_land = e.kind == ElementKind::blister_ring ? p.bore_perimeter : 0;
  flow.tip_shear_rate = pi * D / gap;
  flow.shear_rate_pressure = pi * D / gap;
  flow.line.B = p.bore_perimeter * gap * gap * gap / (12 * D * D * D * D);
  flow.relative_uncertainty = 0.2;
  set_power(flow, pi * pi * p.bore_perimeter / gap, D);
  return flow;
}

}  // namespace

double reach(const Profile& p, double y, double turn) {
  double r = p.R_root;
  for (int k = 0; k < 8; ++k) r = radius(p, std::asin(std::clamp(y / r, -1.0, 1.0)) - turn);  // r sin φ = y on the facing side
  return r > std::fabs(y) ? std::sqrt(r * r - y * y) : 0;
}

ChannelFlow helical_channel(const Profile& p, double D, double lead, double channels, double gap) {
  const double phi = std::atan(lead / (2 * pi * p.Rb)), W = 2 * pi / p.starts * p.Rb;
  const double h1 = over_period(p, gap, [](double h) { return h; }), h3 = over_period(p, gap, [](double h) { return h * h * h; });
  double leak_depth = 0, leak_conductance = 0;
  if (gap > 0) {
    const double i2 = over_period(p, gap, [](double h) { return 1 / (h * h); }), i3 = over_period(p, gap, [](double h) { return 1 / (h * h * h); });
    leak_depth = i2 / i3, leak_conductance = W * W / i3;
  }
  const double s = std::sin(phi), c = std::cos(phi), D2 = D * D, bore = 2 * p.Rb / D;
  return {pi * bore * c * s / (2 * D2) * channels * (h1 - W * leak_depth), channels * (s * s * h3 + c * c * leak_conductance) / (12 * D2 * D2)};
}

double nip_couette(const Section& section, int starts) { return nip_integral(section, profile(section, starts)); }

ElementFlow element_flow(const Section& section, const Element& e) { return element_flow(section, e, nip_couette(section, e.starts)); }

ElementFlow element_flow(const Section& section, const Element& e, double nip) {
  const Profile p = profile(section, e.starts);
  const bool ring_like = e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring;
  if (!e.characteristics && !ring_like && (hard_gap(p, e) <= 0 || section.screw_gap <= 0))
    throw InputError({{.line = e.line,
                       .field = "screw.element",
                       .wrong = "no clearance between screw and " + std::string(section.screw_gap <= 0 ? "screw" : "barrel") + " to compute shear with",
                       .right = "a barrel_bore larger than screw_diameter and a screw_gap above 0, or the element's characteristics"}});
  ElementFlow flow = ring_like ? ring(section, p, e) : e.kind == ElementKind::conveying ? conveying(section, p, e, nip) : kneading(section, p, e, nip);
  if (e.characteristics) {
    flow.line = *e.characteristics;
    flow.given = true;
    flow.relative_uncertainty = 0;
  }
  return flow;
}

}  // namespace quern
