#include "flow/die.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
using Gauss = boost::math::quadrature::gauss<double, 30>;

/// Root of a rising function of a positive number, searched over its logarithm around a guess.
template <class F>
double positive_root(const F& f, double guess) {
  double low = std::log(guess), high = low;
  while (f(std::exp(low)) > 0 && low > -690) low -= 1;
  while (f(std::exp(high)) < 0 && high < 690) high += 1;
  if (low == high) return guess;
  std::uintmax_t most = 100;
  const auto g = [&](double u) { return f(std::exp(u)); };
  const auto bracket =
      boost::math::tools::toms748_solve(g, low, high, boost::math::tools::eps_tolerance<double>(48), most);
  return std::exp(0.5 * (bracket.first + bracket.second));
}

/// What flows past a wall at rate γw when the shear stress falls linearly to the middle: ∫ τ^k γ dτ / τw^(k+1) with
/// k = 2 in a tube (Q = πR³ ·) and 1 between plates (Q = W H²/2 ·). Written over the rate, where τ(γ) = η(γ) γ.
template <class Eta>
double wall_integral(const Eta& eta, double wall_rate, int k) {
  const double tau_w = eta(wall_rate) * wall_rate;
  // ∫ τ^k γ dτ = [τ^(k+1) γ]/(k+1) - 1/(k+1) ∫ τ^(k+1) dγ; the last over ln γ, where it is smooth
  const auto term = [&](double u) {
    const double rate = wall_rate * std::exp(u), ratio = eta(rate) * rate / tau_w;
    return std::pow(ratio, k + 1) * rate;
  };
  double rest = 0, from = -40;
  for (const double to : {-20.0, -10.0, -5.0, -2.0, 0.0}) rest += Gauss::integrate(term, from, to), from = to;
  return (wall_rate - rest) / (k + 1);
}

/// Straight lines through the points, from no pressure at no flow unless a point says otherwise; the last line goes on.
double curve_pressure(const std::vector<std::pair<double, double>>& points, double mass_flow) {
  double from = 0, pressure = 0, slope = 0;
  for (const auto& [flow, p] : points) {
    if (flow <= 0) {
      pressure = p;
      continue;
    }
    slope = (p - pressure) / (flow - from);
    if (mass_flow <= flow) break;
    from = flow, pressure = p;
  }
  return pressure + slope * (mass_flow - from);
}

/// A slit that stands for the opening, and what curvature does to its pressure.
struct Slit {
  double width, height, curvature;
};

/// Annulus as a slit of its mean circumference, corrected by the exact Newtonian ratio.
Slit as_slit(const Die& die) {
  if (die.kind == Die::Kind::slit) return {die.width, die.height, 1};
  const double Ro = die.diameter / 2, k = die.core / die.diameter, H = Ro * (1 - k), W = pi * Ro * (1 + k);
  if (k > 0.99) return {W, H, 1};  // curvature is nothing, and the exact form's terms cancel
  const double exact = pi * std::pow(Ro, 4) / 8 * (1 - std::pow(k, 4) - std::pow(1 - k * k, 2) / std::log(1 / k));
  return {W, H, W * H * H * H / 12 / exact};
}

}  // namespace

DieFlow die_flow(const Die& die, double mass_flow, double density, const Viscosity& law, double factor, double T) {
  if (die.kind == Die::Kind::curve) return {curve_pressure(die.curve, mass_flow), 0};
  if (!(mass_flow > 0)) return {};
  const double Q = mass_flow / density / die.count;
  const auto eta = [&](double rate) { return factor * viscosity(law, rate, T); };
  if (die.kind == Die::Kind::strand) {
    const double R = die.diameter / 2, R3 = R * R * R;
    const double rate =
        positive_root([&](double g) { return pi * R3 * wall_integral(eta, g, 2) - Q; }, 4 * Q / (pi * R3));
    return {2 * die.land / R * eta(rate) * rate, rate};
  }
  const auto [W, H, curvature] = as_slit(die);
  const double area = W * H * H;
  const double rate = positive_root([&](double g) { return area / 2 * wall_integral(eta, g, 1) - Q; }, 6 * Q / area);
  return {curvature * 2 * die.land / H * eta(rate) * rate, rate};
}

double strand_pressure(double K, double n, double R, double land, double Q) {
  return 2 * land / R * K * std::pow((3 * n + 1) / n * Q / (pi * R * R * R), n);
}

double slit_pressure(double K, double n, double W, double H, double land, double Q) {
  return 2 * land / H * K * std::pow(2 * (2 * n + 1) / n * Q / (W * H * H), n);
}

double annulus_flow(double K, double n, double Ro, double k, double land, double pressure) {
  // the stress vanishes at λ; both sides must give the same speed there
  const double m = 1 / n;
  const auto mismatch = [&](double lam) {
    const double inner =
        Gauss::integrate([&](double x) { return std::pow(std::max(lam * lam / x - x, 0.0), m); }, k, lam);
    const double outer =
        Gauss::integrate([&](double x) { return std::pow(std::max(x - lam * lam / x, 0.0), m); }, lam, 1.0);
    return inner - outer;
  };
  std::uintmax_t most = 100;
  const auto bracket = boost::math::tools::toms748_solve(mismatch, k * (1 + 1e-12), 1 - 1e-12,
                                                         boost::math::tools::eps_tolerance<double>(50), most);
  const double lam = 0.5 * (bracket.first + bracket.second);
  const double shape = std::pow(1 - lam * lam, 1 + m) - std::pow(k, 1 - m) * std::pow(lam * lam - k * k, 1 + m);
  return n * pi * Ro * Ro * Ro / (3 * n + 1) * std::pow(pressure * Ro / (2 * K * land), m) * shape;
}

double taper_pressure(double K, double n, double D1, double D2, double L, double Q) {
  if (std::fabs(D1 - D2) < 1e-9 * D1) return strand_pressure(K, n, D1 / 2, L, Q);
  const double gradient = strand_pressure(K, n, D2 / 2, 1, Q);
  return L * gradient / (3 * n) * D2 / (D1 - D2) * (1 - std::pow(D2 / D1, 3 * n));
}

}  // namespace quern
