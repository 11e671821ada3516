#pragma once
#include <string>

#include "machine/line_state.hpp"
namespace quern {

/// The profile along the screw as a table (RFC 4180): one row per cell edge, units in the header, numbers in the
/// shortest form that reads back to the same double; an empty field where there is no figure.
std::string profile_csv(const LineState& state);

}  // namespace quern
