#pragma once
#include <optional>
#include <string>

#include "machine/line_state.hpp"
#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// The result for a terminal, 80 columns: figures, limits, balances, structure, what it rests on, cautions.
std::string result_text(const Trial& trial, const LineState& state, const std::optional<Structure>& structure = {});

/// "Runs with 33 % of the torque; nearest limit: melt temperature, 15 K left." One sentence or two, also in the report.
std::string verdict(const LineState& state);

}  // namespace quern
