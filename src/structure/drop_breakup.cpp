#include "structure/drop_breakup.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

double elongation_fit(double L) { return -0.6485 - 0.02442 * L + 0.02221 * L * L - 0.00056 / (L - 0.00645); }

// Of u_r = U cos kz, u_z = W sin kz, p = P cos kz with lengths in thread radii, so k = X; all at r = 1, P and the
// stresses per viscosity. Scaled by the Bessel functions' own size, which leaves Ω as it is.
struct Mode {
  double U, W, shear, pull;  // shear: W' - kU; pull: P - 2U', with which the mode presses outwards
};

// Inside: I1(kr) without pressure, and kr I0(kr) with P = 2k I0.
std::array<Mode, 2> inner_modes(double k) {
  const double i = std::cyl_bessel_i(0, k) / std::cyl_bessel_i(1, k);  // I0/I1
  return {Mode{1, -i, -2 * k, -2 * (k * i - 1)},
          {k * i, -2 * i - k, -2 * k * (1 + k * i), 2 * k * i - 2 * (k * i + k * k)}};
}

// Outside: K1(kr) without pressure, and kr K0(kr) with P = 2k K0.
std::array<Mode, 2> outer_modes(double k) {
  const double o = std::cyl_bessel_k(0, k) / std::cyl_bessel_k(1, k);  // K0/K1
  return {Mode{1, o, -2 * k, 2 * (k * o + 1)},
          {k * o, -2 * o + k, 2 * k * (1 - k * o), 2 * k * o - 2 * (k * o - k * k)}};
}

constexpr double table_first = -6, table_last = 6, per_decade = 10;  // log10 λ
constexpr int table_size = static_cast<int>((table_last - table_first) * per_decade) + 1;
using Table = std::array<ThreadBreakup, table_size>;

Table ripple_table() {
  Table table{};
  for (int i = 0; i < table_size; ++i) {
    const ThreadBreakup exact = fastest_ripple(std::pow(10, table_first + i / per_decade));
    table[i] = {std::log(exact.wave_number), std::log(exact.growth)};
  }
  return table;
}

// Lagrange's cubic through values at -1, 0, 1 and 2.
double cubic(double a, double b, double c, double d, double t) {
  return (t - 1) * (t - 2) * (3 * (t + 1) * b - t * a) / 6 + t * (t + 1) * ((t - 1) * d - 3 * (t - 2) * c) / 6;
}

}  // namespace

std::optional<double> critical_capillary_shear(double lambda) {
  if (lambda > 3.8) return std::nullopt;
  const double L = std::log10(std::max(lambda, 1e-4));
  return std::pow(10, -0.506 - 0.0994 * L + 0.124 * L * L - 0.115 / (L - std::log10(4.08)));
}

double critical_capillary_elongation(double lambda) {
  const double L = std::log10(std::clamp(lambda, 1e-4, 1e4));
  const double from = std::log10(0.8), to = std::log10(1.3);
  if (L <= from || L >= to) return std::pow(10, elongation_fit(L));
  const double share = (L - from) / (to - from);
  return std::pow(10, (1 - share) * elongation_fit(from) + share * elongation_fit(to));
}

double split_time(double lambda, double capillary_ratio) {
  return 84 * std::pow(lambda, 0.345) * std::pow(capillary_ratio, -0.559);
}

double wu_diameter(double lambda, double matrix_viscosity, double shear_rate, double tension) {
  const double exponent = lambda > 1 ? 0.84 : -0.84;
  return 4 * tension * std::pow(lambda, exponent) / (shear_rate * matrix_viscosity);
}

double taylor_deformation(double lambda, double capillary) {
  return capillary * (19 * lambda + 16) / (16 * lambda + 16);
}

double ripple_growth(double lambda, double wave_number) {
  const double k = wave_number;
  const auto in = inner_modes(k), out = outer_modes(k);
  // Speeds, shear stress and normal stress agree at the face, but for the pressure k² - 1 of its curvature.
  Eigen::Matrix4d face{};
  for (int j = 0; j < 2; ++j) {
    face.col(j) << in[j].U, in[j].W, lambda * in[j].shear, lambda * in[j].pull;
    face.col(j + 2) << -out[j].U, -out[j].W, -out[j].shear, -out[j].pull;
  }
  const Eigen::Vector4d amount = face.partialPivLu().solve(Eigen::Vector4d(0, 0, 0, k * k - 1));
  return 2 * (amount[0] * in[0].U + amount[1] * in[1].U);
}

ThreadBreakup fastest_ripple(double lambda) {
  // Golden section over ln X: Ω has one maximum between long waves and the neutral wave X = 1.
  const double golden = (std::sqrt(5.0) - 1) / 2;
  double low = std::log(1e-3), high = 0;
  const auto growth = [lambda](double s) { return ripple_growth(lambda, std::exp(s)); };
  double left = high - golden * (high - low), right = low + golden * (high - low);
  double at_left = growth(left), at_right = growth(right);
  while (high - low > 1e-7) {
    if (at_left > at_right) {
      high = right, right = left, at_right = at_left;
      left = high - golden * (high - low), at_left = growth(left);
    } else {
      low = left, left = right, at_left = at_right;
      right = low + golden * (high - low), at_right = growth(right);
    }
  }
  const double X = std::exp((low + high) / 2);
  return {X, ripple_growth(lambda, X)};
}

ThreadBreakup thread_breakup(double lambda) {
  static const Table table = ripple_table();
  const double at =
      (std::clamp(std::log10(std::max(lambda, 1e-300)), table_first, table_last) - table_first) * per_decade;
  const int i = std::clamp(static_cast<int>(at), 1, table_size - 3);
  const auto between = [&](double ThreadBreakup::* field) {
    return std::exp(cubic(table[i - 1].*field, table[i].*field, table[i + 1].*field, table[i + 2].*field, at - i));
  };
  return {between(&ThreadBreakup::wave_number), between(&ThreadBreakup::growth)};
}

double ThreadBreakup::drop_ratio() const { return std::cbrt(3 * pi / (2 * wave_number)); }

double thermal_ripple(double T, double tension) {
  const double boltzmann = 1.380649e-23;
  return std::sqrt(21 * boltzmann * T / (8 * std::pow(pi, 1.5) * tension));
}

double merging_probability(double lambda, double capillary, double radius_over_film) {
  return std::exp(-std::sqrt(3.0) / 4 * radius_over_film * lambda * std::pow(capillary, 1.5));
}

}  // namespace quern
