#pragma once
#include <span>
#include <string>

#include "io/element_figures.hpp"
namespace quern {

/// Every distinct element of a screw on two lines: what it is, and its key figures at the trial's speed.
std::string elements_text(const Trial& trial, std::span<const ElementFigures> elements);

/// All about one element, in the trade's words, letters explained; characteristics as a project file takes them.
std::string element_text(const Trial& trial, const ElementFigures& element);

}  // namespace quern
