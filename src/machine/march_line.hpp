#pragma once
#include <array>
#include <vector>

#include "flow/element_flow.hpp"
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
    ThinningFigures thinning{};  ///< of this stock's melt
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

}  // namespace quern
