#pragma once
#include <span>
#include <vector>

#include "base/error.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// The steady state of one trial: pressure and fill marched from the die, enthalpy and melting from the feed,
/// repeated to the tolerance (docs/theory/line).
///
/// @throws InputError  what build_faults or check_trial find
/// @return the state, or why there is none; the reasons are listed by stop_reasons()
/// @param with_spread also move each closure by its uncertainty: some twenty more marches
Solved<LineState> solve(const Trial& trial, bool with_spread = true);

/// One operating point of a map over one trial: everything else stays.
struct Point {
  double throughput;   ///< total feed, streams in the trial's proportions [kg/s]
  double screw_speed;  ///< [1/s]
};
/// Summaries of many points, solved in packs of eight side by side.
/// @param threads 1 or more; the answers do not depend on it
std::vector<Solved<Summary>> solve_map(const Trial& trial, std::span<const Point> points, int threads = 1);

/// Everything about a trial that makes it unusable before any solving: values outside physics, set points missing.
std::vector<Fault> check_trial(const Trial& trial);

/// The named reasons for which a valid trial has no steady state, each with a sentence. At most 20.
struct StopReason {
  std::string_view name, meaning, remedy;
};
std::span<const StopReason> stop_reasons();

}  // namespace quern
