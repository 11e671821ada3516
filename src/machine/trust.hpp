#pragma once
#include <vector>

#include "machine/line_state.hpp"
#include "machine/march.hpp"
namespace quern {

/// What a prediction rests on: the closures that act in this trial, their values, bases and uncertainties.
std::vector<Trust> trust(const Trial& trial, const MarchLine& line, double film);

/// Each closure that is not fixed, and throughput, pressure flow and power of the computed elements of each kind, moved
/// up by one sigma (down where that would leave a closure's range), one at a time; the changes of the main results added
/// in squares. First order, taken as independent. What acts only after the march is not moved; a move that finds no
/// steady state is left out.
Spread spread(const Trial& trial, const MarchLine& line, const MarchResult& base, double torque_share);

}  // namespace quern
