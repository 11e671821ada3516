#pragma once
#include <optional>
#include <string>

#include "io/element_figures.hpp"
namespace quern {

/// What one element does, drawn: the gap between wall and wall, the pressure and the streamlines on the unwound barrel,
/// and the characteristic lines. Lengths to scale in both directions, in millimetres of this machine. The maps are of one
/// instant; colours show computed values. Elements without a solution have the lines only.
///
/// Everything is a vector drawing that a printer without colour can show; words are those of docs/guide/elements.
std::string element_picture(const ElementFigures& element, const Section& section, double screw_speed);

/// The same as a file of its own: name space and style inside.
std::string element_picture_file(const ElementFigures& element, const Section& section, double screw_speed);

/// Small, for a report: streamlines over the gap, and the pressure; at most some 30 kB. Empty without a solution.
std::string element_thumbnail(const ElementFigures& element, const Section& section);

}  // namespace quern
