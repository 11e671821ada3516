#pragma once
#include <optional>
#include <string>
#include <string_view>
namespace quern {

/// A unit as people type it ("kWh/kg", "°C", "W/m²/K", UCUM "[lb_av]/h"), in the spelling that udunits2 reads.
///
/// Nothing for what is no unit: signs outside a short list, and numbers other than exponents, the 1 of "1/s" and the
/// 10 of "g/(10 min)". udunits2 would multiply such a number in, so that "1 080 mm" became 80 mm.
std::optional<std::string> unit_spelling(std::string_view typed);

/// Revolutions per second in one unit of screw speed as typed: rpm, 1/min, {rev}/min, Hz, rad/s, ...
std::optional<double> speed_unit(std::string_view typed);

}  // namespace quern
