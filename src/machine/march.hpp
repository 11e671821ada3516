#pragma once
#include <array>
#include <atomic>
#include <span>
#include <vector>

#include "flow/element_flow.hpp"
#include "machine/solve.hpp"
#include "machine/stock.hpp"
#include "machine/trial.hpp"
namespace quern {

/// A trial made ready for marching: all that does not depend on throughput and speed, hoisted out of the cells.
struct MarchLine {
  /// Multiplies the figures of a computed element, beside the closures flow_scale and power_scale.
  struct FlowScale {
    double A1 = 1, B = 1;
    double power = 1;  ///< of the Couette part; the rates at which viscosities are read stay
  };
  /// One of the elements that differ: its flow is found once.
  struct Distinct {
    Element element{};
    ElementFlow flow{};
    FlowScale scale{};
  };
  struct Part {  ///< an element, as a cell sees it; lengths in m, per-turn numbers as in ElementFlow
    double A1, B_D4, c_tip, c_rest, P1_over, k_rest;
    double free_area, bore, land, nip_land, advance;
    bool kneading, forward;
    double log_k_tip, log_k_rest, log_k_pressure;
    double per_A1, per_B_D4;  ///< their reciprocals: a cell divides as little as it can
  };
  struct Cell {
    int part, zone;
    double dz, from;
    bool open;  ///< under the opening of a port
    bool under_feed;
  };
  struct Polymer {
    Viscosity eta;
    double share, log_lambda;
    bool constant;
    double slope;  ///< (n-1)/a
  };
  /// The heat table once more, as a polynomial of the place f in [0, 1] between two nodes, from f⁰ to f³.
  using Cubic = std::array<double, 4>;
  std::vector<Distinct> distinct{};
  std::vector<Part> parts{};  ///< one of each distinct element
  std::vector<Cell> cells{};
  std::vector<int> element_of{};  ///< per cell: index into Screw::elements
  std::vector<Polymer> polymers{};
  HeatTable heat{};
  std::vector<Cubic> heat_T{}, heat_X{}, heat_Y{};  ///< one less than the table has nodes
  std::vector<double> zone_T{};
  std::vector<char> chilled{};  ///< per zone
  double D = 0, centre = 0;

  // stock
  double feed_h = 0, T_feed = 0, fusion = 0, T_melt = 0, size = 0, friction = 0, filler_factor = 1, cp_solid = 0,
         k_solid = 0, k_melt = 0, rho_solid = 0;
  double bulk_loose = 0, bulk_compacted = 0, solid_volume_share = 0, polymer_share = 1;
  bool all_liquid = false;
  double v0 = 0, v_slope = 0, T_ref = 0, compress = 0;  ///< melt volume: v = v0 + v_slope (T - T_ref) - compress p
  Solid granules{};  ///< of the first polymer: how yield depends on rate

  // closures
  double film = 0;  ///< fixed barrel coefficient; negative: Todd
  double film_solid = 0, engage = 0, engage_conveying = 0, normal_stress = 0, convey = 0, film_time = 0, intake = 0,
         packing = 0;
  double action = 0, action_conveying = 0, nusselt = 0, phi_max = 0;

  // die: p = die_k η(rate) V^1 with rate = die_rate V; or a curve
  const Die* die = nullptr;
  double die_resistance = 0, die_rate = 0;

  // coolant: rise = duty / coolant_capacity
  double coolant_capacity = 0;

  double T_most = 1000;  ///< no stock is followed beyond: 500 degC for polymers that melt, else the heat data's end [K]

  double thickening = 0;  ///< d ln η/dp of the thinning melt [1/Pa]
  int iterations = 200;
  double tolerance = 1e-8;
  double tip_starts = 2;
};

/// The trial's closures are applied.
MarchLine march_line(const Trial& trial, const Stock& stock);

/// Puts other closures, and the scales of the distinct elements, in force. Geometry, element flow and stock stay.
void apply_closures(MarchLine& line, const Machine& machine, const Closures& closures);

/// Heat a chiller can remove at a coolant temperature [W]: straight lines between its points and beyond.
double chiller_capacity(const Chiller& chiller, double T);
/// Heat that warms the coolant by one kelvin on its way [W/K], from its flow, or from the closure coolant_rise.
double coolant_capacity(const Chiller& chiller, double T, const Closures& closures);

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
