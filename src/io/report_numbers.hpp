#pragma once
#include <string>

#include "base/quantity.hpp"
namespace quern {

/// A number for people: so many significant digits, never an exponent, "-" for a figure
/// that does not exist. significant(1239.6) = "1240", significant(0.04567) = "0.0457".
std::string significant(double value, int digits = 3);

/// A value in a unit with significant digits, without the unit: figure(0.00125, Kind::mass_flow, "kg/h") = "4.50".
std::string figure(double si, Kind kind, std::string_view unit, int digits = 3);

/// degC, one place below 100, none above: "-8.0", "214".
std::string celsius(double kelvin);

/// "1240 kJ/kg (0.344 kWh/kg)"
std::string energy_both(double joule_per_kg);

/// "44 %"
std::string percent(double share);

/// "465 mm (15.5 D)"
std::string place_text(double position, double diameter);

/// A limit's value, limit or margin in the limit's own unit, with it: "52.4 N m". Differences of temperature are in K.
struct Limit;
std::string limit_value(const Limit& limit);
std::string limit_limit(const Limit& limit);
std::string limit_margin(const Limit& limit);
/// Margin as a share of the limit [1]; of a temperature there is none, so NaN.
double margin_share(const Limit& limit);

}  // namespace quern
