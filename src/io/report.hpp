#pragma once
#include <optional>
#include <string>

#include "machine/line_state.hpp"
#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// The report of a solved trial: one self-contained HTML file that prints on A4. Every text of the user is escaped.
std::string report_html(const Trial& trial, const LineState& state, const std::optional<Structure>& structure = {});

}  // namespace quern
