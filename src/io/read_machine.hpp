#pragma once
#include <filesystem>
#include <memory>

#include "io/toml_table.hpp"
#include "machine/trial.hpp"
namespace quern {

/// Where a table stands: in the project, or in the file that the project names.
struct FieldLines {
  std::string file{};
  int line = 0;
  std::shared_ptr<const toml::table> root{};  ///< of that other file
};

/// [machine], or the file named by `machine = "..."` with the same table in it.
FieldLines read_machine(TableReader& top, const std::filesystem::path& folder, Machine& machine, FaultLog& log);
/// [screw], likewise. Repeats are written out.
FieldLines read_screw(TableReader& top, const std::filesystem::path& folder, int starts, Screw& screw, FaultLog& log);

}  // namespace quern
