#pragma once
#include "io/page.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// Into the report's data: a row for each kind of element of the screw, and small pictures of those that are solved, of
/// at most eight shapes, those that take most energy, and at most 240 kB. Nothing when the trial carries no solved
/// elements.
void add_element_appendix(kainjow::mustache::data& page, const Trial& trial, const LineState& state);

}  // namespace quern
