#include "flow/heat_transfer.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>

namespace quern {

double melt_film_coefficient(double D, double speed, double density, double viscosity, double heat_capacity,
                             double conductivity) {
  const double reynolds = D * D * speed * density / viscosity, prandtl = heat_capacity * viscosity / conductivity;
  return conductivity / D * 0.94 * std::pow(reynolds, 0.28) * std::pow(prandtl, 0.33);
}

double surface_rise(double flux, double time, double conductivity, double density, double heat_capacity) {
  constexpr double pi = boost::math::constants::pi<double>();
  return 2 * flux * std::sqrt(time / (pi * conductivity * density * heat_capacity));
}

}  // namespace quern
