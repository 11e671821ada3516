#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/error.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// A result for other programs: JSON, format "quern-result/1". SI throughout; a figure that does not exist
/// (NaN, no place) is null. When the calculation stopped there is a "reason" and no figure at all.
/// Keys are listed in docs/guide/report.md, those of "structure" in docs/guide/structure.md.
std::string result_json(const Trial& trial, const Solved<LineState>& state,
                        const std::optional<Structure>& structure = {});

/// {"format", "status": "refused", "faults": [{"file", "line", "field", "wrong", "right"}]}
std::string faults_json(const std::vector<Fault>& faults);

}  // namespace quern
