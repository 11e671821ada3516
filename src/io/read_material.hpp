#pragma once
#include "io/toml_table.hpp"
#include "materials/material.hpp"
namespace quern {

/// One [material.NAME] table (docs/guide/materials). Faults go to the reader's log; what they spoil keeps a default.
/// @param default_source provenance of numbers that the table's [source] does not name
Material read_material(TableReader& table, const std::string& name, const std::string& default_source);

/// All materials of a file's [material] tables; `format = "quern-material/1"` in files of their own.
std::vector<Material> read_materials(const std::string& text, const std::string& file,
                                     const std::string& default_source);

}  // namespace quern
