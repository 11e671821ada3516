#pragma once
#include <atomic>
#include <span>
#include <vector>

#include "machine/march_line.hpp"
#include "machine/solve.hpp"
namespace quern {

/// Along the screw for one point: values at the downstream edge of each cell, but for what says otherwise.
struct MarchRecord {
  std::vector<double> T, p_up, p, fill, full, X, tau, energy, film_T, wall_T, heat;
  std::vector<double>
      through;  ///< volume flow over what drag and the pressure gradient carry, full cells of melt; 1 elsewhere
};

/// What a march found for one point, or for several side by side.
template <class V>
struct MarchFigures {
  V shaft{}, heat_in{}, heat_out{}, chiller{}, T_end{}, T_max{}, p_die{}, h_end{}, tau{}, filled{}, fill_length{};
  V friction{}, melting{}, shear{}, flow_work{};
  V tau_solid{}, tau_melt{}, e_solid{}, e_melt{};  ///< what is left is transition
  V X_end{}, V_end{};  ///< melt fraction and volume flow at the screw's end
  V film{};  ///< barrel coefficient in force [W/(m2 K)]
  V flooded{};  ///< index of a cell where melt stands in an open port, -1 none (vent or feed)
  V choked{};  ///< index of a cell that cannot take the granules, -1 none
  V choke_ratio{};  ///< granules offered over what that cell takes
  V runaway{};  ///< index of the first cell beyond the heat table, -1 none
  V iterations{}, residual{};
};
using MarchResult = MarchFigures<double>;

/// Marches one point to the tolerance.
/// @param record filled by one more pass downstream, if asked for
MarchResult march(const MarchLine& line, const Point& point, MarchRecord* record = nullptr);

/// Marches the points of a queue, eight side by side: a lane that is done takes the next point at once, so that none
/// waits for a slow one. Threads may share a queue; what is found for a point depends neither on them nor on the lane,
/// and agrees with march() to rounding.
/// @param results one per point @param next index of the first point not yet taken
void march_queue(const MarchLine& line, std::span<const Point> points, std::span<MarchResult> results,
                 std::atomic<std::size_t>& next);

}  // namespace quern
