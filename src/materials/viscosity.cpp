#include "materials/viscosity.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {
constexpr double gas_constant = 8.31446261815324;  // J/(mol K), CODATA 2018
}

Viscosity newtonian(double eta0) {
  Viscosity v;
  v.eta0 = eta0;
  return v;
}

Viscosity power_law(double eta_ref, double rate_ref, double n) {
  Viscosity v;
  v.eta0 = eta_ref, v.lambda = 1 / rate_ref, v.n = n;
  v.yasuda = 1, v.plateau = false, v.superposition = false;
  return v;
}

Viscosity cross(double eta0, double tau_star, double n) {
  Viscosity v;
  v.eta0 = eta0, v.lambda = eta0 / tau_star, v.n = n;
  v.yasuda = 1 - n;  // the exponent (n-1)/a becomes -1
  return v;
}

Viscosity carreau_yasuda(double eta0, double eta_inf, double lambda, double a, double n) {
  Viscosity v;
  v.eta0 = eta0, v.eta_inf = eta_inf, v.lambda = lambda, v.yasuda = a, v.n = n;
  return v;
}

Viscosity cross_wlf(double tau_star, double n, double D1, double D2, double D3, double A1, double A2) {
  Viscosity v = with_wlf(cross(D1, tau_star, n), A1 / std::numbers::ln10, A2, D2);
  v.D3 = D3;
  return v;
}

Viscosity with_arrhenius(Viscosity v, double E, double T_ref) {
  v.k0 = -E / (gas_constant * T_ref), v.k1 = E / gas_constant, v.k2 = 0, v.T_vogel = 0;
  return v;
}

Viscosity with_wlf(Viscosity v, double C1, double C2, double T_ref) {
  // -c1 (T-Tr)/(C2+T-Tr) = -c1 + c1 C2/(T - (Tr - C2)), c1 = C1 ln 10
  const double c1 = C1 * std::numbers::ln10;
  v.k0 = -c1, v.k1 = c1 * C2, v.k2 = 0, v.T_vogel = T_ref - C2;
  v.T_floor = std::max(v.T_floor, v.T_vogel + 5);
  return v;
}

Viscosity with_exponential(Viscosity v, double b, double T_ref) {
  v.k0 = b * T_ref, v.k1 = 0, v.k2 = -b, v.T_vogel = 0;
  return v;
}

double viscosity(const Viscosity& v, double rate, double T, double p) {
  const double T_shifted = std::max(T - v.D3 * p, v.T_floor);
  const double log_a = std::clamp(v.k0 + v.k1 / (T_shifted - v.T_vogel) + v.k2 * T_shifted + v.beta * p, -600.0, 600.0);
  if (v.n == 1 || v.lambda <= 0) return v.eta_inf + (v.eta0 - v.eta_inf) * std::exp(log_a);
  const double u = v.yasuda * (std::log(v.lambda) + (v.superposition ? log_a : 0) + std::log(std::max(rate, 1e-300)));
  const double bracket = v.plateau ? std::max(u, 0.0) + std::log1p(std::exp(-std::fabs(u))) : u;
  return v.eta_inf + (v.eta0 - v.eta_inf) * std::exp(std::min(log_a + (v.n - 1) / v.yasuda * bracket, 600.0));
}

double suspension_factor(double phi, double phi_max) {
  return std::pow(1 - std::min(std::max(phi, 0.0) / phi_max, 0.95), -2.5 * phi_max);
}

}  // namespace quern
