#pragma once
#include <string>
#include <vector>

#include "base/error.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// A result for other programs: JSON, format "quern-result/1". SI throughout; a figure that does not exist
/// (NaN, no place) is null. When the calculation stopped there is a "reason" and no figure at all.
/// Keys are listed in docs/guide/report.md.
std::string result_json(const Trial& trial, const Solved<LineState>& state);

/// {"format", "status": "refused", "faults": [{"file", "line", "field", "wrong", "right"}]}
std::string faults_json(const std::vector<Fault>& faults);

}  // namespace quern
