#include "flow/channel.hpp"

#include <boost/math/constants/constants.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

/// Σ tanh(i x)/iᵏ over odd i. From the term where tanh is 1 to round-off the rest is summed as ζ does, by its integral.
double odd_series(double x, int k) {
  constexpr int last = 4001;
  double sum = 0;
  for (int i = 1; i <= last; i += 2) sum += std::tanh(i * x) / std::pow(i, k);
  return sum + std::tanh(last * x) * std::pow(last + 1.0, 1 - k) / (2 * (k - 1));
}

template <class F>
double root(const F& f, double low, double high) {
  std::uintmax_t most = 200;
  const auto [a, b] =
      boost::math::tools::toms748_solve(f, low, high, boost::math::tools::eps_tolerance<double>(50), most);
  return (a + b) / 2;
}

/// Stress falls from the sliding plate inwards: τ(y) = τw - P (1 - y), y from the plate at rest. Rates and flows are
/// powers of τ, integrated in closed form. sgn(τ)|τ|^m is odd, its integral even, the integral of that odd again.
struct StressLine {
  double wall, P, m;  ///< m = 1/n

  double at_rest() const { return wall - P; }
  double once(double tau) const { return std::pow(std::abs(tau), m + 1) / (m + 1); }
  double twice(double tau) const { return std::copysign(std::pow(std::abs(tau), m + 2) / ((m + 1) * (m + 2)), tau); }
  double speed() const { return (once(wall) - once(at_rest())) / P; }  ///< ∫ γ̇ dy
  double flow() const { return (twice(wall) - twice(at_rest())) / (P * P) - once(at_rest()) / P; }
};

}  // namespace

double drag_shape_factor(double q) { return 16 / (pi * pi * pi * q) * odd_series(pi * q / 2, 3); }

double pressure_shape_factor(double q) { return 1 - 192 * q / std::pow(pi, 5) * odd_series(pi / (2 * q), 5); }

PlaneFlow plane_flow(double P, double n) {
  if (std::abs(P) < 1e-6) return {0.5 - P / 12, 1 + P / 2};
  const double m = 1 / n, reach = std::abs(P) + 2;
  const double wall = root([&](double t) { return StressLine{t, P, m}.speed() - 1; }, -reach, reach);
  return {StressLine{wall, P, m}.flow(), wall};
}

double closed_discharge_gradient(double n) {
  return root([&](double P) { return plane_flow(P, n).flow; }, 0.1, 20);
}

}  // namespace quern
