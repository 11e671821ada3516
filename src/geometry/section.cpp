#include "geometry/section.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <cmath>
#include <fmt/format.h>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double rounding = 1e-9;  ///< [rad] a tip angle this far below zero is a knife edge, not a fault

std::string mm(double length) { return fmt::format("{:.4g} mm", 1e3 * length); }

/// "one start", "two starts", ...
std::string starts_in_words(int n) {
  constexpr const char* words[] = {"no", "one", "two", "three", "four", "five", "six"};
  const std::string word = n >= 0 && n <= 6 ? words[n] : fmt::format("{}", n);
  return word + (n == 1 ? " start" : " starts");
}

/// Largest ratio of tip to root diameter that n starts can have: there the tip angle is zero.
double largest_diameter_ratio(int n) { return 1 / (2 * std::cos(pi / (2 * n)) - 1); }

Fault fault(std::string field, std::string wrong, std::string right) {
  return {.field = std::move(field), .wrong = std::move(wrong), .right = std::move(right)};
}

void check_length(std::vector<Fault>& faults, const char* field, double value) {
  if (std::isfinite(value) && value > 0) return;
  faults.push_back(
      fault(field, mm(value) + " is not a positive length", "write the drawing's value, for example \"30 mm\""));
}

/// Each number by itself.
std::vector<Fault> value_faults(const Section& s, int starts) {
  std::vector<Fault> faults;
  check_length(faults, "barrel_bore", s.barrel_bore);
  check_length(faults, "screw_diameter", s.screw_diameter);
  check_length(faults, "centre_distance", s.centre_distance);
  if (!std::isfinite(s.screw_gap) || s.screw_gap < 0)
    faults.push_back(
        fault("screw_gap", mm(s.screw_gap) + " is not a clearance", "write zero or more, for example \"0.2 mm\""));
  if (starts < 1 || starts > 6)
    faults.push_back(fault("starts", fmt::format("{} is not a number of starts", starts), "write 1, 2 or 3"));
  return faults;
}

/// How the numbers fit together, the tip angle excepted.
std::vector<Fault> fit_faults(const Section& s) {
  const double C = s.centre_distance, D = s.screw_diameter, Ce = C - s.screw_gap;
  std::vector<Fault> faults;
  if (D > s.barrel_bore)
    faults.push_back(fault("screw_diameter", fmt::format("{} does not fit a bore of {}", mm(D), mm(s.barrel_bore)),
                           "a screw is narrower than its bore by twice the tip clearance"));
  if (C >= s.barrel_bore || Ce >= D)
    faults.push_back(fault("centre_distance", fmt::format("at {} apart, screws of {} do not mesh", mm(C), mm(D)),
                           fmt::format("intermeshing screws lie between {} and {} apart", mm(D / 2 + s.screw_gap),
                                       mm(std::min(D + s.screw_gap, s.barrel_bore)))));
  else if (Ce <= D / 2)
    faults.push_back(
        fault("centre_distance", fmt::format("at {} apart, a screw of {} has no root left", mm(C), mm(D)),
              fmt::format("write more than {}: half the screw diameter and the screw gap", mm(D / 2 + s.screw_gap))));
  return faults;
}

void refuse(std::vector<Fault> faults) {
  if (!faults.empty()) throw InputError(std::move(faults));
}

void refuse_negative_tip(const Section& s, int starts, double alpha) {
  if (alpha >= -rounding) return;
  const double Ce = s.centre_distance - s.screw_gap;
  const double ratio = s.screw_diameter / (2 * Ce - s.screw_diameter);
  refuse({fault("starts",
                fmt::format("{} need a diameter ratio of at most {:.4g}; this one has {:.4g}", starts_in_words(starts),
                            largest_diameter_ratio(starts), ratio),
                "fewer starts, or screws farther apart for their diameter")});
}

double screw_area(const Profile& p) {
  const double land = p.alpha * (p.R * p.R + p.R_root * p.R_root) / 2;
  return p.starts * (land + p.Ce * p.Ce * p.psi - p.R * p.R * std::sin(2 * p.psi));
}

/// Angle from the root's edge, 0 to 2ψ on a flank, less than zero on the root. @param a from the tip's centre, [0, π/n]
double flank_angle(const Profile& p, double a) { return pi / p.starts - p.alpha / 2 - a; }

double flank_radius(const Profile& p, double theta) {
  const double s = p.R * std::sin(theta);
  return std::sqrt(p.Ce * p.Ce - s * s) - p.R * std::cos(theta);
}

double flank_slope(const Profile& p, double theta) {  // dr/dθ
  const double s = p.R * std::sin(theta);
  return s * (1 - p.R * std::cos(theta) / std::sqrt(p.Ce * p.Ce - s * s));
}

}  // namespace

Profile profile(const Section& s, int starts) {
  refuse(value_faults(s, starts));
  refuse(fit_faults(s));
  Profile p;
  p.starts = starts;
  p.R = s.screw_diameter / 2;
  p.Rb = s.barrel_bore / 2;
  p.Ce = s.centre_distance - s.screw_gap;
  p.psi = std::acos(p.Ce / s.screw_diameter);
  p.alpha = pi / starts - 2 * p.psi;
  refuse_negative_tip(s, starts, p.alpha);
  p.alpha = std::max(p.alpha, 0.0);
  p.R_root = p.Ce - p.R;
  p.screw_area = screw_area(p);
  const double C = s.centre_distance, psi_b = std::acos(C / s.barrel_bore);
  p.bore_area = 2 * (pi - psi_b) * p.Rb * p.Rb + C * p.Rb * std::sin(psi_b);
  p.free_area = p.bore_area - 2 * p.screw_area;
  p.screw_perimeter = pi * p.Ce;
  p.bore_perimeter = 4 * (pi - psi_b) * p.Rb;
  p.depth_max = p.Rb - p.R_root;
  return p;
}

double radius(const Profile& p, double angle) {
  const double a = std::abs(std::remainder(angle, 2 * pi / p.starts));
  if (a <= p.alpha / 2) return p.R;
  const double theta = flank_angle(p, a);
  return theta <= 0 ? p.R_root : flank_radius(p, theta);
}

double radius_slope(const Profile& p, double angle) {
  const double a = std::remainder(angle, 2 * pi / p.starts), theta = flank_angle(p, std::abs(a));
  if (std::abs(a) <= p.alpha / 2 || theta <= 0) return 0;
  return a > 0 ? -flank_slope(p, theta) : flank_slope(p, theta);
}

double helical_surface(const Profile& p, double lead) {
  const double k = 2 * pi / lead;
  const auto stretch = [&](double theta) {
    const double r = flank_radius(p, theta), slope = flank_slope(p, theta);
    return std::sqrt(r * r + slope * slope * (1 + k * k * r * r));
  };
  const double flank = boost::math::quadrature::gauss_kronrod<double, 31>::integrate(stretch, 0.0, 2 * p.psi, 8, 1e-12);
  return p.starts * (p.alpha * (p.R + p.R_root) + 2 * flank);
}

}  // namespace quern
