#pragma once
#include <string>

#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// The line to scale: zones with set points and ports, both screws as computed silhouettes in the barrel with what
/// fills it, and on the same axis the tracks of temperature, pressure, fill, state, specific energy and residence
/// time. SVG; classes are styled in templates/report.html. Colour shows temperature alone, on a scale that prints.
std::string line_picture(const Trial& trial, const LineState& state);

/// The build alone: zones, ports and the screw, numbered, for the assembly sheet.
std::string build_picture(const Trial& trial);

/// E(t) and F(t) with first-out, mean, 95 and 99 %.
std::string residence_chart(const LineState& state);

}  // namespace quern
