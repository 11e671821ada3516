#pragma once
#include <optional>
#include <string>

#include "base/error.hpp"
namespace quern {

/// The material library for people: a list of all, or one material with every number and where it came from.
/// @throws InputError  no material of that name; the nearest one is offered
std::string materials_text(const std::optional<std::string>& name);

/// The same for programs, SI units.
/// @throws InputError  no material of that name; the nearest one is offered
std::string materials_json(const std::optional<std::string>& name);

}  // namespace quern
