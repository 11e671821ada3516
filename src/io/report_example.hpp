#pragma once
#include <string>

#include "io/read_trial.hpp"
#include "machine/solve.hpp"
namespace quern {

/// For tests of what is written: a bundled project, and its solved state.
inline Trial example_trial(const std::string& name) {
  return read_trial(std::string(QUERN_SOURCE_DIR) + "/examples/" + name + ".toml");
}
inline LineState example_state(const std::string& name) { return solve(example_trial(name)).value(); }

}  // namespace quern
