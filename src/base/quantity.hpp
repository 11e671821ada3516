#pragma once
#include <optional>
#include <span>
#include <string>
#include <string_view>
namespace quern {

/// What a number measures. Every kind has one SI unit, in which it is kept inside.
enum class Kind {
  ratio,                    ///< [1]; "%" is accepted
  length,                   ///< [m]
  time,                     ///< [s]
  mass,                     ///< [kg]
  temperature,              ///< [K], absolute
  temperature_difference,   ///< [K], "10 K" or "10 degC" both mean ten kelvin
  pressure,                 ///< [Pa], also stress
  mass_flow,                ///< [kg/s]
  volume_flow,              ///< [m3/s]
  density,                  ///< [kg/m3]
  screw_speed,              ///< [1/s], revolutions per second: "60 rpm" is 1
  rate,                     ///< [1/s], shear rate or rate constant
  angle,                    ///< [rad]
  torque,                   ///< [N m]
  power,                    ///< [W]
  specific_energy,          ///< [J/kg]
  heat_capacity,            ///< [J/(kg K)]
  conductivity,             ///< [W/(m K)]
  heat_transfer,            ///< [W/(m2 K)]
  heat_flux,                ///< [W/m2]
  viscosity,                ///< [Pa s]
  molar_energy,             ///< [J/mol]
  velocity,                 ///< [m/s]
  per_pressure,             ///< [1/Pa]
  per_temperature,          ///< [1/K]
  temperature_per_pressure, ///< [K/Pa]
  density_slope,            ///< [kg/(m3 K)]
  specific_volume,          ///< [m3/kg]
  specific_volume_slope,    ///< [m3/(kg K)]
  specific_volume_curve     ///< [m3/(kg K2)]
};

/// A kind's name, SI unit and an example a user could type.
struct KindInfo {
  Kind kind;
  std::string_view name;     ///< "mass flow"
  std::string_view si;       ///< "kg/s"
  std::string_view example;  ///< "6 kg/h"
};
const KindInfo& info(Kind kind);

/// What is wrong with a quantity's text, and what would be right.
struct BadQuantity {
  std::string wrong, right;
};

/// A number with its unit, as typed, in the kind's SI unit.
///
/// Accepts the usual trade units, what udunits2 knows, and UCUM codes ("Cel", "kW.h/kg", "[lb_av]/h").
/// Refused: no number, no unit (a ratio may go without), a unit of another dimension, a second number ("1 080 mm"),
/// a decimal comma, NaN, infinity, hexadecimal, a temperature below absolute zero. Angles need an angular unit, and
/// no other kind but screw speed takes one: "100 rpm" is no shear rate.
std::optional<BadQuantity> parse_quantity(std::string_view text, Kind kind, double& si);

/// As above; throws InputError with an empty place.
double quantity(std::string_view text, Kind kind);

/// The unit that was typed, for answers in the reader's own: "kg/h" of "6 kg/h". The kind's SI unit when there is none.
std::string_view unit_in(std::string_view text, Kind kind);

/// A value in a unit of choice, e.g. in_unit(0.00167, Kind::mass_flow, "kg/h") = 6.
/// The unit must be one that parse_quantity accepts for the kind (a programmer's choice, asserted). "1" shows a bare
/// number.
double in_unit(double si, Kind kind, std::string_view unit);

/// "6.00 kg/h": the value in a unit with three to four significant digits, for messages and reports.
std::string show(double si, Kind kind, std::string_view unit);

/// The candidate nearest to a misspelt word by edit distance, or empty when none is near.
std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates);

}  // namespace quern
