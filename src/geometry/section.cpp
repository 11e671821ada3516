#include "geometry/section.hpp"

#include <fmt/format.h>

#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

std::vector<Fault> section_faults(const Section& s, int starts) {
  std::vector<Fault> faults;
  const auto refuse = [&](const char* field, std::string wrong, std::string right) { faults.push_back({.field = field, .wrong = std::move(wrong), .right = std::move(right)}); };
  const double mm = 1e3;
  for (const auto& [field, value] : {std::pair{"barrel_bore", s.barrel_bore}, {"screw_diameter", s.screw_diameter}, {"centre_distance", s.centre_distance}})
    if (!(value > 0)) refuse(field, fmt::format("{:.4g} mm is not more than 0", value * mm), "give a length, for example \"25 mm\"");
  if (!(s.screw_gap >= 0)) refuse("screw_gap", fmt::format("{:.4g} mm is less than 0", s.screw_gap * mm), "give the clearance between the screws, for example \"0.2 mm\"");
  if (starts < 1 || starts > 4) refuse("starts", fmt::format("{} starts", starts), "1, 2 or 3 (4 in shallow profiles)");
  if (!faults.empty()) return faults;
  if (s.screw_diameter > s.barrel_bore)
    refuse("screw_diameter", fmt::format("{:.4g} mm is wider than the bore of {:.4g} mm", s.screw_diameter * mm, s.barrel_bore * mm), "a little less than barrel_bore");
  const double R = s.screw_diameter / 2, Ce = s.centre_distance - s.screw_gap;
  if (Ce >= s.screw_diameter)
    refuse("centre_distance", fmt::format("at {:.4g} mm the screws do not mesh: their diameter is {:.4g} mm", s.centre_distance * mm, s.screw_diameter * mm), "less than the screw diameter");
  if (Ce <= R * 1.0001)
    refuse("centre_distance", fmt::format("at {:.4g} mm, less the gap, nothing is left for the root", s.centre_distance * mm), fmt::format("more than half the screw diameter, {:.4g} mm", R * mm));
  if (!faults.empty()) return faults;
  const double least = std::cos(pi / (2 * starts));
  if (Ce / s.screw_diameter < least - 1e-12)
    refuse("starts", fmt::format("{} starts need a diameter ratio of at most {:.4g}; this section has {:.4g}", starts, 1 / (2 * least - 1), R / (Ce - R)),
           "fewer starts, or shallower channels (a larger centre distance)");
  return faults;
}

}  // namespace

Profile profile(const Section& s, int starts) {
  if (auto faults = section_faults(s, starts); !faults.empty()) throw InputError(std::move(faults));
  Profile p;
  p.starts = starts;
  p.R = s.screw_diameter / 2;
  p.Rb = s.barrel_bore / 2;
  p.Ce = s.centre_distance - s.screw_gap;
  p.psi = std::acos(p.Ce / (2 * p.R));
  p.alpha = std::max(0.0, pi / starts - 2 * p.psi);
  p.R_root = p.Ce - p.R;
  p.screw_area = starts * (p.alpha * (p.R * p.R + p.R_root * p.R_root) / 2 + p.Ce * p.Ce * p.psi - p.R * p.R * std::sin(2 * p.psi));
  const double psi_b = std::acos(s.centre_distance / (2 * p.Rb));
  p.bore_area = 2 * (pi - psi_b) * p.Rb * p.Rb + s.centre_distance * p.Rb * std::sin(psi_b);
  p.free_area = p.bore_area - 2 * p.screw_area;
  p.screw_perimeter = starts * (p.alpha * (p.R + p.R_root) + 2 * p.Ce * p.psi);
  p.bore_perimeter = 4 * (pi - psi_b) * p.Rb;
  p.depth_max = p.Rb - p.R_root;
  return p;
}

double radius(const Profile& p, double angle) {
  const double period = 2 * pi / p.starts;
  const double from_tip = std::fabs(std::remainder(angle, period));
  if (from_tip <= p.alpha / 2) return p.R;
  const double theta = period / 2 - p.alpha / 2 - from_tip;  // from the root's edge along the flank
  if (theta <= 0) return p.R_root;
  const double s = p.R * std::sin(theta);
  return std::sqrt(p.Ce * p.Ce - s * s) - p.R * std::cos(theta);
}

double helical_surface(const Profile& p, double lead) {
  const double k = std::isinf(lead) ? 0 : 2 * pi / lead;
  const auto flank = [&](double theta) {
    const double s = p.R * std::sin(theta), root = std::sqrt(p.Ce * p.Ce - s * s);
    const double r = root - p.R * std::cos(theta), slope = p.R * std::sin(theta) * (1 - p.R * std::cos(theta) / root);
    return std::sqrt(r * r + slope * slope * (1 + k * k * r * r));
  };
  const double flanks = 2 * p.starts * boost::math::quadrature::gauss<double, 30>::integrate(flank, 0.0, 2 * p.psi);
  return p.starts * p.alpha * (p.R + p.R_root) + flanks;
}

}  // namespace quern
