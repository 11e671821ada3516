#include "flow/element_flow.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "flow/helical_channel.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

/// Tip clearance assumed for shear rates where the geometry has none, as a share of D. Common practice, no source.
constexpr double assumed_clearance = 0.002;

/// Rates at which the pressure flow of a shear-thinning melt reads its viscosity, in π D over the mean depth.
/// Conveying: the power law between plates at closed discharge, exact, asks for 2.56 to 2.67 (docs/theory/element-flow).
/// Discs: from power-law lubrication solutions of whole stacks, n = 0.3 to 0.8, within 12 %.
constexpr double rate_factor_conveying = 2.6, rate_factor_kneading = 4.4, rate_factor_neutral = 1.5;

bool is_ring(const Element& e) { return e.kind == ElementKind::spacer_ring || e.kind == ElementKind::blister_ring; }

double tip_gap(const Profile& p, const Element& e) { return p.barrel_gap() + e.clearance; }

Fault fault(const Element& e, const char* field, const char* wrong, const char* right) {
  return {.line = e.line, .field = field, .wrong = wrong, .right = right};
}

std::vector<Fault> clearance_faults(const Section& section, const Profile& p, const Element& e) {
  std::vector<Fault> faults = element_faults(e);
  if (e.clearance >= (is_ring(e) ? p.Rb : p.R - p.R_root))
    faults.push_back(fault(e, "clearance", "it leaves no metal", "less than the depth of the channel"));
  if (is_ring(e) || e.characteristics) return faults;
  if (tip_gap(p, e) <= 0)
    faults.push_back(fault(e, "barrel_bore",
                           "the screw fills the bore: without a tip clearance nothing can be computed",
                           "a barrel_bore larger than screw_diameter, or the element's own characteristics"));
  if (section.screw_gap <= 0)
    faults.push_back(fault(e, "screw_gap", "the screws touch: the power between them cannot be computed",
                           "a screw_gap above zero, for example \"0.2 mm\", or the element's own characteristics"));
  return faults;
}

/// Full periods of the profile that the figure-eight shows at any instant, 2n - 1 + nα/π without clearance.
double periods_on_bore(const Profile& p) { return p.bore_perimeter / (2 * pi * p.Rb / p.starts); }

double channels(const Profile& p) { return 2 * p.starts - 1; }

/// Share of a turn that a point of a screw faces the bore and not the other screw.
double facing_bore(const Profile& p) { return p.bore_perimeter / (4 * pi * p.Rb); }

/// What a conveying or kneading element has from its profile alone.
ElementFlow of_profile(const Profile& p, const Element& e, double D) {
  const double gap = tip_gap(p, e) > 0 ? tip_gap(p, e) : assumed_clearance * D;
  ElementFlow flow;
  flow.free_area = p.free_area + 2 * p.starts * p.alpha * p.R * e.clearance;
  flow.wetted_bore = p.bore_perimeter;
  flow.tip_land = 2 * p.starts * p.alpha * p.R * facing_bore(p);
  flow.tip_shear_rate = pi * D / gap;
  return flow;
}

double depth_rate(const ElementFlow& flow, double D) { return pi * D / (flow.free_area / flow.wetted_bore); }

/// P* = P0 - P1 V* from the power c at no pressure gradient; P1 = A1/B by reciprocity.
Characteristics with_power(double A1, double B, double c) {
  return {.A1 = A1, .B = B, .P0 = c + A1 * A1 / B, .P1 = A1 / B};
}

/// One sigma of the closed formulas: of A1 and B alike; of power, which leaves out disc faces.
ElementUncertainty estimated(double flow) { return {flow, flow, 0.3}; }

double conveying_uncertainty(double lead, double D) {
  return lead >= 0.75 * D ? 0.2 : 0.2 + 1.2 * (0.75 - lead / D);  // 0.5 at half a diameter
}

ElementFlow conveying(const Profile& p, const Element& e, double D, double nip) {
  ElementFlow flow = of_profile(p, e, D);
  const ChannelFlow channel = helical_channel(p, D, e.lead, tip_gap(p, e));
  const double sign = e.hand == Hand::reverse ? -1 : 1;
  flow.line =
      with_power(sign * channels(p) * channel.A1, channels(p) * channel.B, periods_on_bore(p) * channel.c + nip);
  flow.shear_rate_pressure = rate_factor_conveying * depth_rate(flow, D);
  flow.solid_advance = sign * e.lead;
  flow.uncertainty = estimated(conveying_uncertainty(e.lead, D)), flow.in_range = e.lead >= 0.75 * D;
  return flow;
}

/// Discs of the stack until its pattern repeats, at most 72.
int discs_to_repeat(const Element& e) {
  constexpr double same_angle = 1e-4;
  const double period = 2 * pi / e.starts;
  for (int m = 1; m < 72; ++m)
    if (std::abs(std::remainder(m * e.stagger, period)) < same_angle) return m;
  return 72;
}

/// Extra length, in depths, that the contraction at a disc's edge costs: fitted to three-dimensional Stokes solutions
/// of two staggers and three disc widths at one diameter ratio; not checked elsewhere (docs/theory/element-flow).
constexpr double edge_loss = 3;

/// Depths along one line of the bore, disc by disc until the stack repeats.
std::vector<double> depths_along(const Profile& p, const Element& e, double angle) {
  const double worn = p.Rb - tip_gap(p, e);
  std::vector<double> depth(static_cast<std::size_t>(discs_to_repeat(e)));
  for (std::size_t j = 0; j < depth.size(); ++j)
    depth[j] = p.Rb - std::min(radius(p, angle + static_cast<double>(j) * e.stagger), worn);
  return depth;
}

/// Mean resistance of that line per length, in 12 η: h⁻³ of each disc and the edge to the next.
double resistance_along(const std::vector<double>& depth, double disc_width) {
  double sum = 0;
  for (std::size_t j = 0; j < depth.size(); ++j) {
    const auto [low, high] = std::minmax(depth[j], depth[(j + 1) % depth.size()]);
    const double edge = edge_loss * low * (1 - low / high) / disc_width;
    sum += 1 / (depth[j] * depth[j] * depth[j]) + edge / (low * low * low);
  }
  return sum / static_cast<double>(depth.size());
}

/// Passage straight along the bore past the disc edges, without flow around, per period.
double edge_passage(const Profile& p, const Element& e, double D) {
  constexpr int n = 720;
  const double period = 2 * pi / p.starts;
  double sum = 0;
  for (int i = 0; i < n; ++i) sum += 1 / resistance_along(depths_along(p, e, (i + 0.5) / n * period), e.disc_width());
  return sum / n * period * p.Rb / (12 * std::pow(D, 4));
}

ElementFlow kneading(const Profile& p, const Element& e, double D, double nip) {
  ElementFlow flow = of_profile(p, e, D);
  const double period = 2 * pi / p.starts, gap = tip_gap(p, e);
  const double lead_with = 2 * pi / e.stagger * e.disc_width();  // the staircase followed the stated way
  const double lead_against = 2 * pi / (period - e.stagger) * e.disc_width();  // and the other way
  const ChannelFlow with = helical_channel(p, D, lead_with, gap), against = helical_channel(p, D, lead_against, gap);
  const ChannelFlow disc = helical_channel(p, D, std::numeric_limits<double>::infinity(), gap);
  const Hand sense = conveying_sense(e);
  const double sign = e.hand == Hand::reverse ? -1 : 1;
  const double A1 = sense == Hand::neutral ? 0 : sign * channels(p) * (with.A1 - against.A1);
  const double B = channels(p) * (with.B + against.B + edge_passage(p, e, D));
  flow.line = with_power(A1, B, periods_on_bore(p) * disc.c + nip);
  flow.shear_rate_pressure =
      (sense == Hand::neutral ? rate_factor_neutral : rate_factor_kneading) * depth_rate(flow, D);
  if (sense != Hand::neutral)  // the shorter way round is the way the stack conveys
    flow.solid_advance = (sense == Hand::forward ? 1 : -1) * std::max(lead_with, lead_against);
  flow.in_range = e.disc_width() >= 0.1 * D;
  flow.uncertainty = estimated(flow.in_range ? 0.35 : 0.6);
  return flow;
}

/// 1 - κ⁴ - (1 - κ²)²/ln(1/κ) for a core of κ; its terms cancel in a narrow gap ε = 1 - κ, where plates on the mean
/// circumference stand for it.
double annulus_conductance(double epsilon) {
  if (epsilon < 0.01) return 4 * epsilon * epsilon * epsilon / 3 * (1 - epsilon / 2);
  const double k = 1 - epsilon, k2 = k * k;
  return 1 - k2 * k2 + (1 - k2) * (1 - k2) / std::log(k);
}

/// Passage and sliding between two cylinders that do not touch, as between the screws: ∫ g³/12 dy between the rays from
/// the axes to the cusps, ∫ dy/g where both stand.
struct BetweenRings {
  double passage = 0, slide = 0;
};
BetweenRings between_rings(double Ri, double Ro, double C) {
  constexpr int n = 400;
  const double cusp = std::sqrt(Ro * Ro - C * C / 4), step = 2 * cusp / n;
  BetweenRings between;
  for (int i = 0; i < n; ++i) {
    const double y = cusp * (2 * (i + 0.5) / n - 1), ray = std::abs(y) / cusp * C / 2;
    const double reach = std::abs(y) < Ri ? std::sqrt(Ri * Ri - y * y) : 0;
    between.passage += step * std::pow(C - 2 * std::max(reach, ray), 3) / 12;
    if (reach > 0) between.slide += step / (C - 2 * reach);
  }
  return between;
}

/// Turning cylinders in the figure-eight: concentric annuli, exact, over the share of a turn that faces the bore, and the
/// gap between the cylinders. Rings that would meet there stand on one shaft at a time: what they leave open is not
/// known, and they count as outside the range.
ElementFlow ring(const Section& section, const Profile& p, const Element& e, double D) {
  const double Ro = p.Rb, Ri = e.clearance > 0 ? p.Rb - e.clearance : p.R_root, share = 2 * facing_bore(p);
  const double Ro2 = Ro * Ro, Ri2 = Ri * Ri;
  const double B = share * pi / 8 * Ro2 * Ro2 * annulus_conductance((Ro - Ri) / Ro);
  const double c = share * 4 * pi * 4 * pi * pi * Ro2 * Ri2 / (Ro2 - Ri2);  // torque 4π μ Ω Ro²Ri²/(Ro² - Ri²), times Ω
  const double C = section.centre_distance;
  const bool apart = 2 * Ri < C;
  const BetweenRings nip = apart ? between_rings(Ri, Ro, C) : BetweenRings{};
  ElementFlow flow;
  flow.line = with_power(0, (B + nip.passage) / std::pow(D, 4), (c + 4 * pi * pi * C * C * nip.slide) / (D * D));
  flow.in_range = apart;
  flow.free_area = apart ? p.bore_area - 2 * pi * Ri2 : share * pi * (Ro2 - Ri2);
  flow.wetted_bore = p.bore_perimeter;
  flow.tip_land = e.kind == ElementKind::blister_ring ? p.bore_perimeter : 0;
  flow.tip_shear_rate = pi * D / (Ro - Ri);
  flow.shear_rate_pressure = rate_factor_neutral * pi * D / (Ro - Ri);
  flow.uncertainty = estimated(apart ? 0.1 : 0.4);
  return flow;
}

/// At V* = A1 the power is c: P* = P0 - P1 A1. No less than the simple shear of the mean depth.
double root_mean_square_rate(const ElementFlow& flow, double D) {
  const double power = flow.line.P0 - flow.line.P1 * flow.line.A1;
  return power > 0 ? std::sqrt(power * D * D / flow.free_area) : depth_rate(flow, D);
}

/// Couette power of the lands; with a narrow gap it is most of the power, but never all.
double tip_power(const ElementFlow& flow, double D) {
  const double power = flow.line.P0 - flow.line.P1 * flow.line.A1;
  return std::min(pi * flow.tip_land * flow.tip_shear_rate / D, 0.7 * power);
}

/// Dragged through the clearance by each tip on the bore, half of π D δ.
double tip_flux(const ElementFlow& flow, const Profile& p, double D) {
  const double delta = pi * D / flow.tip_shear_rate;
  return flow.tip_land > 0 ? periods_on_bore(p) * pi * delta / (2 * D) : 0;
}

/// Leaves out the computed line, and with it the clearances it needs.
ElementFlow with_given(ElementFlow flow, const Characteristics& line) {
  flow.line = line;
  flow.basis = FlowBasis::given;
  flow.uncertainty = {};
  return flow;
}

double between(double a, double b, double t) { return a + (b - a) * t; }

/// Between the endless run and the block: throughputs and powers halfway, conductances at the geometric mean.
Characteristics between_ends(const ElementSolution& s) {
  if (!s.block) return s.line;
  const auto couette = [](const Characteristics& c) { return c.P0 - c.P1 * c.A1; };
  return with_power((s.line.A1 + s.block->A1) / 2, std::sqrt(s.line.B * s.block->B),
                    (couette(s.line) + couette(*s.block)) / 2);
}

}  // namespace

std::vector<Fault> flow_faults(const Section& section, const Element& e) {
  try {
    return clearance_faults(section, profile(section, is_ring(e) ? section.starts : e.starts), e);
  } catch (const InputError& error) {
    return error.faults();
  }
}

ThinningFigures thinning_at(const ElementFlow& flow, double n) {
  ThinningFigures at{
      .index = n, .throughput = 1, .rate_pressure = flow.shear_rate_pressure, .rate_power = flow.shear_rate_power};
  if (flow.thinning.empty()) return at;
  std::size_t i = 1;
  while (i + 1 < flow.thinning.size() && n < flow.thinning[i].index) ++i;
  const ThinningFigures &a = flow.thinning[i - 1], &b = flow.thinning[i];
  const double t = std::clamp((a.index - n) / (a.index - b.index), 0.0, 1.0);
  at.throughput = between(a.throughput, b.throughput, t);
  at.rate_pressure =
      flow.pumping ? between(a.rate_pressure, b.rate_pressure, t) : between(a.rate_consuming, b.rate_consuming, t);
  at.rate_power = between(a.rate_power, b.rate_power, t);
  return at;
}

ElementFlow element_flow(const Section& section, const Element& e) {
  return element_flow(section, e, is_ring(e) || e.characteristics ? 0 : nip_couette(section, e.starts));
}

ElementFlow element_flow(const Section& section, const Element& e, double nip) {
  const Profile p = profile(section, is_ring(e) ? section.starts : e.starts);
  const double D = section.screw_diameter;
  if (auto faults = clearance_faults(section, p, e); !faults.empty()) throw InputError(std::move(faults));
  ElementFlow flow = is_ring(e)                         ? ring(section, p, e, D)
                     : e.kind == ElementKind::conveying ? conveying(p, e, D, nip)
                                                        : kneading(p, e, D, nip);
  if (e.characteristics) flow = with_given(flow, *e.characteristics);
  flow.shear_rate_power = root_mean_square_rate(flow, D);
  flow.tip_power = tip_power(flow, D);
  flow.mean_shear_rate = depth_rate(flow, D);
  flow.tip_flux = tip_flux(flow, p, D);
  return flow;
}

ElementFlow solved_element_flow(const Section& section, const Element& e, const ElementSolution& solution) {
  ElementFlow flow = element_flow(section, e, 0);
  if (flow.basis == FlowBasis::given) return flow;
  const bool mirrored = shape_of(section, e).mirrored;
  flow.line = between_ends(solution);
  if (mirrored) flow.line.A1 *= -1, flow.line.P1 *= -1;
  flow.pumping = !mirrored;
  flow.thinning = solution.thinning;
  flow.shear_rate_pressure = thinning_at(flow, 1).rate_pressure;
  flow.shear_rate_power = root_mean_square_rate(flow, section.screw_diameter);
  flow.tip_power = solution.tip_power;
  flow.mean_shear_rate = solution.rates.mean;
  flow.tip_flux = solution.tracked.tip_passes * solution.tracked.throughput;
  if (solution.tracked.over_tip > 0)
    flow.tip_repeat = std::max(1.0, solution.tracked.tip_passes * solution.tracked.length / solution.tracked.over_tip);
  flow.mixing_length = solution.tracked.mixing_length * section.screw_diameter;
  flow.uncertainty = uncertainty(solution), flow.in_range = solution.in_range;
  flow.basis = FlowBasis::solved;
  return flow;
}

}  // namespace quern
