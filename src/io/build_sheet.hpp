#pragma once
#include <string>

#include "machine/trial.hpp"
namespace quern {

/// The assembly sheet for the bench: what goes on the shafts in which order, with checks to tick. HTML, A4.
std::string build_sheet_html(const Trial& trial);

}  // namespace quern
