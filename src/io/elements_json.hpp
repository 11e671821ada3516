#pragma once
#include <span>
#include <string>

#include "io/element_figures.hpp"
namespace quern {

/// For other programs: format "quern-elements/1", SI and dimensionless. Keys are listed in docs/guide/elements.md.
std::string elements_json(const Trial& trial, std::span<const ElementFigures> elements);

/// The same without figures: what stopped the calculation.
std::string elements_stopped_json(const Trial& trial, const Stop& stop);

}  // namespace quern
