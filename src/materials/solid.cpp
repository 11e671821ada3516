#include "materials/solid.hpp"

#include <algorithm>
#include <cmath>

namespace quern {

double yield_stress(const Solid& s, double T, double rate) {
  constexpr double rounding = 5;  // K: over which the straight line bends into the floor
  const auto line = [&](double at) {
    const double u = (s.yield_T_zero - at) / rounding;
    return rounding * (std::max(u, 0.0) + std::log1p(std::exp(-std::fabs(u))));
  };
  const double g = s.yield_floor + (1 - s.yield_floor) * line(T) / line(s.yield_T_ref);
  const double speed = std::max(0.05, 1 + s.yield_per_decade * std::log10(std::max(rate, 1e-30) / s.yield_rate_ref));
  return s.yield * speed * g;
}

}  // namespace quern
