#include "flow/helical_channel.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>
#include <limits>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
using Gauss = boost::math::quadrature::gauss<double, 20>;

/// r on a flank at θ from the root's edge; its inverse is cos θ = (Ce² - R² - r²)/(2 r R).
double flank_radius(const Profile& p, double theta) {
  const double s = p.R * std::sin(theta);
  return std::sqrt(p.Ce * p.Ce - s * s) - p.R * std::cos(theta);
}

double flank_angle(const Profile& p, double r) {
  return std::acos(std::clamp((p.Ce * p.Ce - p.R * p.R - r * r) / (2 * r * p.R), -1.0, 1.0));
}

/// ∫ f(h) dθ over one flank up to the angle `end`. Near the tip h⁻³ changes over an angle of gap/R: panels halve
/// towards it until the last is that small.
template <class F>
double over_flank(const Profile& p, double end, double gap, const F& f) {
  const auto depth = [&](double theta) { return f(p.Rb - flank_radius(p, theta)); };
  double sum = 0, from = 0;
  for (double left = end / 2; left > gap / p.R && left > 1e-9; left /= 2) {
    sum += Gauss::integrate(depth, from, end - left);
    from = end - left;
  }
  return sum + Gauss::integrate(depth, from, end);
}

template <class F>
double over_period(const Profile& p, double gap, const F& f) {
  const double worn_end = flank_angle(p, std::clamp(p.Rb - gap, p.R_root, p.R));
  const double land = p.alpha + 2 * (2 * p.psi - worn_end);
  return p.Rb * (land * f(gap) + p.alpha * f(p.depth_max) + 2 * over_flank(p, worn_end, gap, f));
}

double cube(double x) { return x * x * x; }

}  // namespace

DepthIntegrals depth_integrals(const Profile& p, double gap) {
  DepthIntegrals i;
  i.width = 2 * pi * p.Rb / p.starts;
  i.h = over_period(p, gap, [](double h) { return h; });
  i.h_cubed = over_period(p, gap, cube);
  i.per_h = over_period(p, gap, [](double h) { return 1 / h; });
  i.per_h_squared = over_period(p, gap, [](double h) { return 1 / (h * h); });
  i.per_h_cubed = over_period(p, gap, [](double h) { return 1 / cube(h); });
  return i;
}

ChannelFlow helical_channel(const Profile& p, double D, double lead, double gap) {
  const double phi = std::atan(lead / (2 * pi * p.Rb)), s = std::sin(phi), c = std::cos(phi);
  const double bore = 2 * p.Rb / D;
  if (gap <= 0) {  // the tips seal: nothing crosses the flights
    const double h = over_period(p, 0, [](double x) { return x; }), h_cubed = over_period(p, 0, cube);
    return {pi * bore * s * c * h / (2 * D * D), s * s * h_cubed / (12 * std::pow(D, 4)),
            std::numeric_limits<double>::infinity()};
  }
  const DepthIntegrals i = depth_integrals(p, gap);
  const double hq = i.per_h_squared / i.per_h_cubed;
  ChannelFlow flow;
  flow.A1 = pi * bore * s * c * (i.h - i.width * hq) / (2 * D * D);
  flow.B = (s * s * i.h_cubed + c * c * i.width * i.width / i.per_h_cubed) / (12 * std::pow(D, 4));
  flow.c = pi * pi * bore * bore * ((1 + 3 * s * s) * i.per_h - 3 * s * s * hq * i.per_h_squared);
  return flow;
}

}  // namespace quern
