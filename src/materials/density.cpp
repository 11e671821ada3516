#include "materials/density.hpp"

#include <algorithm>
#include <cmath>

namespace quern {

double density(const Density& d, double T, double p) {
  switch (d.law) {
    case Density::Law::constant: return d.rho;
    case Density::Law::linear: return std::max(d.rho + d.slope * (T - d.T_ref), 0.2 * d.rho);
    case Density::Law::tait: {
      const double t = T - d.b5, v0 = d.b1 + d.b2 * t + d.b6 * t * t, B = d.b3 * std::exp(-d.b4 * t);
      return 1 / (v0 * (1 - 0.0894 * std::log1p(p / B)));
    }
  }
  return d.rho;
}

}  // namespace quern
