#pragma once
#include "machine/line_state.hpp"
#include "machine/march.hpp"
namespace quern {

/// The limits of a solved line, those that apply: torque, power, intake, softening, chiller, zone heating, zone cooling,
/// vent, side feed, die pressure, melt temperature, freeze-off, strand core. "near" within 10 % of the limit
/// (temperatures: within 10 K).
std::vector<Limit> limits(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchRecord& record,
                          const LineState& state);

/// Torque of one shaft that the drive can give at a speed [N m].
double torque_rating(const Drive& drive);
/// Motor power from the shafts' power [W]: through efficiency, and idle power in proportion to speed.
double motor_power(const Drive& drive, double shaft_power, double speed);

}  // namespace quern
