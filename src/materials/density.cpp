#include "materials/density.hpp"

#include <algorithm>
#include <cmath>

namespace quern {
namespace {

/// Far outside its range a fitted polynomial may turn negative; the guards keep it a volume, and are out of
/// reach within 200 K and 1000 MPa of any melt.
double tait_volume(const Density& d, double T, double p) {
  const double t = T - d.b5;
  const double v0 = std::max(d.b1 + d.b2 * t + d.b6 * t * t, 0.5 * d.b1);
  const double B = std::max(d.b3 * std::exp(-d.b4 * t), 1e3);
  return v0 * std::max(1 - 0.0894 * std::log1p(std::max(p, 0.0) / B), 0.3);
}

}  // namespace

double density(const Density& d, double T, double p) {
  switch (d.law) {
    case Density::Law::constant:
      return d.rho;
    case Density::Law::linear:
      return std::max(d.rho + d.slope * (T - d.T_ref), 0.2 * d.rho);
    case Density::Law::tait:
      return 1 / tait_volume(d, T, p);
  }
  return d.rho;
}

}  // namespace quern
