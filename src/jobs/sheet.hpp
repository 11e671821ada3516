#pragma once
#include <string>

#include "base/error.hpp"
namespace quern {

/// The assembly sheet of a project's screw as one printable HTML page. Nothing is solved.
/// @throws InputError  the project cannot be used
std::string sheet_html(const std::string& project);

/// As above, written whole or not at all.
/// @throws InputError  the project cannot be used, or the file cannot be written
void write_sheet(const std::string& project, const std::string& output);

}  // namespace quern
