#include "structure/volatiles.hpp"

#include <algorithm>
#include <cmath>

namespace quern {
namespace {

constexpr double gas_constant = 8.314462618, mercury = 133.322, T_ref = 473.15;

constexpr std::string_view checked =
    "Antoine: value from memory, within 4 % of a reference equation of state; χ, D, E: value from memory";
constexpr std::string_view unchecked =
    "Antoine: value from memory, agrees with the boiling point; χ, D, E: value from memory";

constexpr Volatile list[] = {
    {"water", "polyolefins", 8.14019, 1810.94, 244.485, 865, 4.0, 1e-8, 40e3, checked},
    {"water", "polyamides", 8.14019, 1810.94, 244.485, 865, 1.2, 3e-9, 40e3, checked},
    {"styrene", "polystyrene", 7.14016, 1574.51, 224.09, 730, 0.35, 3e-10, 60e3, unchecked},
    {"ethylbenzene", "polystyrene", 6.95719, 1424.255, 213.206, 692, 0.35, 3e-10, 60e3, checked},
    {"toluene", "polystyrene", 6.95464, 1344.80, 219.482, 676, 0.35, 4e-10, 60e3, checked},
    {"hexane", "polyethylene", 6.87601, 1171.17, 224.41, 435, 0.35, 6e-9, 30e3, checked},
    {"cyclohexane", "polyethylene", 6.84130, 1201.53, 222.65, 577, 0.3, 4e-9, 32e3, checked},
};

}  // namespace

std::span<const Volatile> volatiles() { return list; }

double saturation_pressure(const Volatile& v, double T) {
  const double from_pole = std::max(T - 273.15 + v.C, 1.0);  // the law has no meaning near its pole
  return mercury * std::pow(10.0, v.A - v.B / from_pole);
}

double diffusivity(const Volatile& v, double T) {
  return v.diffusivity * std::exp(-v.activation / gas_constant * (1 / std::max(T, 1.0) - 1 / T_ref));
}

}  // namespace quern
