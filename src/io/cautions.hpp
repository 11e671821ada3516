#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// The caution texts that the computed state of this trial calls for, each with one hazard, one consequence, one
/// action and one referral; the last is always general_caution(). Calls nothing "safe". Wording is ours; hazards
/// as in EN 1114-1:2011, NFPA 660 (2025), HSE Plastics Processing Sheet 13 (2002).
std::vector<std::string> cautions(const Trial& trial, const LineState& state);

/// For a build sheet: pulling the screws, and cleaning them.
std::vector<std::string> build_cautions();

/// The footer of every report.
std::string_view general_caution();

}  // namespace quern
