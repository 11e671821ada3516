#pragma once
#include <vector>

#include "machine/line_state.hpp"
#include "machine/march.hpp"
namespace quern {

/// What a prediction rests on: the closures that act in this trial, their values, bases and uncertainties.
std::vector<Trust> trust(const Trial& trial, const MarchLine& line, double film);

/// Each closure that is not fixed moved by its uncertainty, one at a time; the changes of the main results added in
/// squares. First order, closures taken as independent.
Spread spread(const Trial& trial, const MarchLine& line, const MarchResult& base, double torque_share);

}  // namespace quern
