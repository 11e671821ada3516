#include "structure/grinding_laws.hpp"

#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

TEST_CASE("Rittinger: constant 100, from 50 to 10, takes 8") { CHECK(rittinger_energy(100, 50, 10) == Approx(8)); }
TEST_CASE("Kick: constant 10, from 50 to 10, takes 16.0944 by the natural logarithm") {
  CHECK(kick_energy(10, 50, 10) == Approx(16.0944).epsilon(3e-6));
}
TEST_CASE("Bond: limestone, 100 t/h, 12.74 kWh/t, 50.8 to 3.175 mm: 169.6 kW (McCabe, Smith & Harriott, example)") {
  constexpr double kWh_per_t = 3600, t_per_h = 1 / 3.6;  // J/kg, kg/s
  const double power = 100 * t_per_h * bond_energy(12.74 * kWh_per_t, 50.8e-3, 3.175e-3);
  CHECK(power / 1e3 == Approx(169.6).epsilon(3e-4));
  CHECK(power / 1e3 == Approx(169.57).epsilon(3e-5));
}
TEST_CASE("Bond: the work index is that of the energy it predicts") {
  CHECK(bond_work_index(bond_energy(45e3, 3e-3, 0.2e-3), 3e-3, 0.2e-3) == Approx(45e3).epsilon(1e-14));
}
