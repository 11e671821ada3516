#pragma once
#include "flow/strip_field.hpp"
#include "linear/strip_solver.hpp"
namespace quern {

/// Newtonian flow of one snapshot, per unit of N, η and D: what turning alone does, and what a pressure gradient of
/// one alone does.
struct StripFlow {
  double throughput = 0;   ///< axial flow of turning without a gradient, A1
  double passage = 0;      ///< axial flow against a unit gradient, B
  double power = 0;        ///< of the shafts per length, turning without a gradient
  double reciprocal = 0;   ///< power that a unit gradient adds; equals throughput
  double dissipation = 0;  ///< per length, turning without a gradient; equals power
  double pressed = 0;      ///< dissipation per length of a unit gradient alone; equals passage
  double turn_gap = 0, pressed_gap = 0;  ///< most that the axial flow differs from row to row, of either solution
  double tip_power = 0, nip_power = 0;  ///< parts of the power, drag only
  std::vector<double> p_turn{}, p_gradient{};  ///< shape (columns, rows); p_gradient without the mean gradient itself
  int iterations = 0;  ///< the more of both solutions
  bool direct = false;  ///< the sparse Cholesky had to answer
  bool converged = true;
};

/// Worst relative gap of the balances: axial flow the same in every row, shaft power dissipated, reciprocity of
/// throughput and power, work of the gradient dissipated. A throughput is measured by what the power could pump.
double balance_gap(const StripFlow& flow);

/// One set-up serves both solutions.
StripFlow strip_flow(const StripField& field, StripSolver& solver);
/// The same with a solver of its own, for a single snapshot.
StripFlow strip_flow(const StripField& field);

}  // namespace quern
