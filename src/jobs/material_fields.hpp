#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "base/quantity.hpp"
#include "materials/material.hpp"
namespace quern {

/// What a number of a material file measures, by its field path ("viscosity.shift.E"); empty for text and unknown fields.
std::optional<Kind> material_field_kind(std::string_view field);

/// The words a file uses for the law of a viscosity: "cross, shift wlf"; for a density: "tait".
std::string viscosity_law(const Viscosity& v);
std::string_view density_law(const Density& d);

/// A temperature at which this polymer is usually worked: 200 degC, or 40 K above melting where that is more,
/// or somewhat below its degradation guide where that is less [K]. A liquid: 20 degC.
double working_temperature(const Material& m);

/// @throws InputError  not in the library; names that contain the word, or the nearest, are offered
const Material& material_named(std::string_view name);

}  // namespace quern
