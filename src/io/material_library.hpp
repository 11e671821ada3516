#pragma once
#include <vector>

#include "materials/material.hpp"
namespace quern {

/// The materials that come with the program (data/materials, docs/sources/library), by name in order.
const std::vector<Material>& material_library();
/// One of them, or null.
const Material* library_material(std::string_view name);

}  // namespace quern
