#include "flow/lobe.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr std::size_t intervals = 600;  ///< of the table on each segment

/// Nodes crowd towards the land's edge, where 1/h³ falls steeply.
double stretch(double u) { return u * u; }
double unstretch(double x) { return std::sqrt(x); }

/// Half the angle of a tip's land, wider than the profile's own where tips are worn down.
double land_edge_of(const Profile& p, double worn_radius) {
  if (worn_radius >= p.R) return p.alpha / 2;
  const double flank = pi / p.starts - p.alpha / 2;
  if (worn_radius <= p.R_root) return flank;
  std::uintmax_t steps = 100;
  const auto above = [&](double a) { return radius(p, a) - worn_radius; };
  const auto bracket =
      boost::math::tools::toms748_solve(above, p.alpha / 2, flank, boost::math::tools::eps_tolerance<double>(), steps);
  return 0.5 * (bracket.first + bracket.second);
}

/// Flow along an annulus of gap ε Rb over that between plates, per width of the bore.
double annulus(double epsilon) {
  if (epsilon < 0.01) return 1 - epsilon / 2;
  const double k = 1 - epsilon, k2 = k * k;
  return 0.75 * (1 - k2 * k2 + (1 - k2) * (1 - k2) / std::log(k)) / (epsilon * epsilon * epsilon);
}

struct Wedge {
  double mobility, drag, shear;
};
Wedge wedge(double s) {
  if (s < 1e-3) return {1 - 0.6 * s * s, 1 - s * s / 3, 1 + s * s / 3};
  const double a = std::atan(s);
  return {3 * (s - a) / (s * s * s), a / s, s / a};
}

}  // namespace

Lobe::Lobe(const ElementShape& shape, bool slopes, bool curvature)
    : profile_(shape.profile()),
      worn_radius_(profile_.Rb - shape.tip_gap()),
      helix_(shape.kind == ElementKind::conveying ? 2 * pi / shape.lead : 0),
      speed_(2 * pi * profile_.Rb),
      period_(2 * pi / profile_.starts),
      slopes_(slopes),
      curvature_(curvature) {
  const double root = pi / profile_.starts - profile_.alpha / 2;
  edges_[0] = 0, edges_[1] = land_edge_of(profile_, worn_radius_), edges_[2] = std::max(root, edges_[1]),
  edges_[3] = period_ / 2;
  for (std::size_t segment = 0; segment < 3; ++segment) fill(segment);
}

Lobe::Gap Lobe::gap(double a, bool flank) const {
  const double r = radius(profile_, a), h = profile_.Rb - std::min(r, worn_radius_);
  double s = 0;
  if (flank && slopes_) {
    const double middle = (r + profile_.Rb) / 2;
    s = std::abs(radius_slope(profile_, a)) * std::sqrt(1 / (middle * middle) + helix_ * helix_);
  }
  const Wedge factor = wedge(s);
  const double M = h * h * h / 12 * factor.mobility;
  return {h, M, M * (curvature_ ? annulus(h / profile_.Rb) : 1), speed_ * h / 2 * factor.drag,
          speed_ * speed_ / h * factor.shear};
}

void Lobe::fill(std::size_t segment) {
  const double from = edges_[segment], width = edges_[segment + 1] - from;
  const auto rates = [&](double a) {
    const Gap g = gap(a, segment == 1);
    return std::array<double, 6>{1 / g.mobility, g.drag / g.mobility, g.drag * g.drag / g.mobility, g.shear,
                                 g.depth,        1 / g.mobility_axial};
  };
  std::vector<Node>& nodes = nodes_[segment];
  nodes.resize(intervals + 1);
  for (std::size_t i = 0; i <= intervals; ++i) {
    const double b = from + width * stretch(static_cast<double>(i) / intervals);
    const double inside = std::clamp(b, from + 1e-12 * width, from + width * (1 - 1e-12));
    const auto rate = rates(inside);
    std::copy(rate.begin(), rate.end(), nodes[i].rate);
    if (i == 0) continue;
    const double a = from + width * stretch(static_cast<double>(i - 1) / intervals);
    for (std::size_t q = 0; q < 6; ++q) nodes[i].sum[q] = nodes[i - 1].sum[q];
    const auto& x = boost::math::quadrature::gauss<double, 7>::abscissa();
    const auto& w = boost::math::quadrature::gauss<double, 7>::weights();
    for (std::size_t j = 0; j < x.size(); ++j)
      for (const double sign : {-1.0, 1.0}) {
        if (j == 0 && sign > 0) continue;  // the middle point counts once
        const auto f = rates((a + b) / 2 + sign * x[j] * (b - a) / 2);
        for (std::size_t q = 0; q < 6; ++q) nodes[i].sum[q] += w[j] * (b - a) / 2 * f[q];
      }
  }
}

namespace {

/// The cubic with these values and slopes at the ends of an interval (Hermite).
double between_nodes(double t, double width, double f0, double df0, double f1, double df1) {
  const double s = 1 - t;
  return s * s * (1 + 2 * t) * f0 + t * t * (3 - 2 * t) * f1 + width * t * s * (s * df0 - t * df1);
}

}  // namespace

Lobe::Sums Lobe::running(double angle) const {
  const double a = std::abs(angle);
  double sum[6]{}, tip = 0;
  for (std::size_t segment = 0; segment < 3 && a > edges_[segment]; ++segment) {
    const double from = edges_[segment], width = edges_[segment + 1] - from;
    const std::vector<Node>& nodes = nodes_[segment];
    if (width <= 0) continue;
    if (a >= edges_[segment + 1]) {
      for (std::size_t q = 0; q < 6; ++q) sum[q] += nodes.back().sum[q];
    } else {
      const double u = unstretch((a - from) / width) * intervals;
      const auto i = std::min(static_cast<std::size_t>(u), intervals - 1);
      const double a0 = from + width * stretch(static_cast<double>(i) / intervals),
                   a1 = from + width * stretch(static_cast<double>(i + 1) / intervals);
      const Node &n = nodes[i], &m = nodes[i + 1];
      for (std::size_t q = 0; q < 6; ++q)
        sum[q] += between_nodes((a - a0) / (a1 - a0), a1 - a0, n.sum[q], n.rate[q], m.sum[q], m.rate[q]);
    }
    if (segment == 0) tip = sum[3];
  }
  const double sign = angle < 0 ? -1 : 1;
  return {sign * sum[0], sign * sum[1], sign * sum[2], sign * sum[3], sign * tip, sign * sum[4], sign * sum[5]};
}

Lobe::Sums Lobe::between(double from, double to) const {
  const double turns_from = std::round(from / period_), turns_to = std::round(to / period_);
  const Sums a = running(from - turns_from * period_), b = running(to - turns_to * period_);
  const Sums half = running(period_ / 2);
  const double whole = 2 * (turns_to - turns_from);
  return {b.resistance - a.resistance + whole * half.resistance,
          b.drag - a.drag + whole * half.drag,
          b.drag_square - a.drag_square + whole * half.drag_square,
          b.shear - a.shear + whole * half.shear,
          b.tip_shear - a.tip_shear + whole * half.tip_shear,
          b.area - a.area + whole * half.area,
          b.resistance_axial - a.resistance_axial + whole * half.resistance_axial};
}

double Lobe::depth(double angle) const { return profile_.Rb - std::min(radius(profile_, angle), worn_radius_); }

double Lobe::mobility_axial(double angle) const {
  const double a = std::abs(std::remainder(angle, period_));
  return gap(a, a > edges_[1] && a < edges_[2]).mobility_axial;
}

}  // namespace quern
