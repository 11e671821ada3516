#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "flow/heat_transfer.hpp"

namespace quern {
namespace {

namespace bm = boost::math;
constexpr double pi = bm::constants::pi<double>();

/// n-th root of z J1(z) = Bi J0(z), from 1: it lies between the zeros of J1 and J0.
double root(double biot, int n) {
  const double low = n == 1 ? 0 : bm::cyl_bessel_j_zero(1.0, n - 1), high = bm::cyl_bessel_j_zero(0.0, n);
  const auto f = [&](double z) { return z * bm::cyl_bessel_j(1, z) - biot * bm::cyl_bessel_j(0, z); };
  std::uintmax_t most = 100;
  const auto [a, b] = bm::tools::toms748_solve(f, low, high, bm::tools::eps_tolerance<double>(48), most);
  return (a + b) / 2;
}

/// Share of the first excess over the water that is left.
struct Excess {
  double core = 0, mean = 0, surface = 0;
};

/// θ = Σ Cᵢ J0(zᵢ r/R) exp(-zᵢ² Fo), until the terms are round-off.
Excess series(double biot, double fourier) {
  constexpr double negligible = -30;  // exponent
  Excess left;
  for (int n = 1; n <= 200; ++n) {
    const double z = root(biot, n), exponent = -z * z * fourier;
    if (n > 1 && exponent < negligible) break;
    const double j0 = bm::cyl_bessel_j(0, z), j1 = bm::cyl_bessel_j(1, z);
    const double term = 2 * j1 / (z * (j0 * j0 + j1 * j1)) * std::exp(exponent);
    left.core += term, left.surface += term * j0, left.mean += term * 2 * j1 / z;
  }
  return left;
}

/// exp(x²) erfc(x), with the asymptote where the factors overflow.
double scaled_erfc(double x) { return x < 20 ? std::exp(x * x) * std::erfc(x) : 1 / (x * std::sqrt(pi)); }

/// Before the heat has come from deeper than a few per cent of the radius the surface is flat: semi-infinite solid,
/// Carslaw & Jaeger (1959), 2.7; the mean from the heat that has left.
Excess short_time(double biot, double fourier) {
  const double x = biot * std::sqrt(fourier), surface = scaled_erfc(x);
  const double left_through_surface = (surface - 1) / biot + 2 * std::sqrt(fourier / pi);
  return {1, 1 - 2 * left_through_surface, surface};
}

}  // namespace

StrandCooling cool_strand(double diameter, double time, double film, double conductivity, double density,
                          double heat_capacity, double T_start, double T_water) {
  const double R = diameter / 2, biot = film * R / conductivity;
  const double fourier = conductivity / (density * heat_capacity) * time / (R * R);
  if (biot <= 0 || fourier <= 0) return {T_start, T_start, T_start};
  const Excess left = fourier < 5e-4 ? short_time(std::max(biot, 1e-6), fourier) : series(biot, fourier);
  const auto temperature = [&](double share) { return T_water + share * (T_start - T_water); };
  return {temperature(left.core), temperature(left.mean), temperature(left.surface)};
}

}  // namespace quern
