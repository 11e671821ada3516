#include "materials/thermal.hpp"

#include <algorithm>
#include <cmath>

#include "base/error.hpp"

namespace quern {
namespace {

constexpr double T0 = 273.15;

double softplus(double u) { return std::max(u, 0.0) + std::log1p(std::exp(-std::fabs(u))); }
double logistic(double u) { return 1 / (1 + std::exp(-std::clamp(u, -700.0, 700.0))); }
bool has_step(const Thermal& t) { return t.T_melt > 0; }

}  // namespace

double enthalpy(const Thermal& t, double T) {
  if (!has_step(t)) return t.cp_melt * (T - T0);
  const double u = (T - t.T_melt) / t.width, u0 = (T0 - t.T_melt) / t.width;
  return t.cp_solid * (T - T0) + (t.cp_melt - t.cp_solid) * t.width * (softplus(u) - softplus(u0)) +
         t.fusion * (logistic(u) - logistic(u0));
}

double heat_capacity(const Thermal& t, double T) {
  if (!has_step(t)) return t.cp_melt;
  const double s = logistic((T - t.T_melt) / t.width);
  return t.cp_solid + (t.cp_melt - t.cp_solid) * s + t.fusion * s * (1 - s) / t.width;
}

double melt_fraction(const Thermal& t, double T) { return has_step(t) ? logistic((T - t.T_melt) / t.width) : 1; }

double temperature(const Thermal& t, double h) {
  double low = 100, high = 1500;
  if (!(h >= enthalpy(t, low) && h <= enthalpy(t, high)))
    throw InputError({{.field = "enthalpy",
                       .wrong = std::to_string(h) + " J/kg lies outside 100 K to 1500 K",
                       .right = "check heat capacities and the heat put in"}});
  double T = std::clamp(T0 + h / t.cp_solid, low, high);
  for (int i = 0; i < 200; ++i) {
    const double off = enthalpy(t, T) - h;
    (off > 0 ? high : low) = T;
    const double next = T - off / heat_capacity(t, T);
    const double better = next > low && next < high ? next : 0.5 * (low + high);
    if (std::fabs(better - T) < 1e-13 * T) return better;
    T = better;
  }
  return T;
}

}  // namespace quern
