#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/progress.hpp"
#include "flow/element_shape.hpp"
#include "flow/shear_rates.hpp"
namespace quern {

/// Relative standard uncertainty of an element's throughput, of its pressure flow, and of its power.
struct ElementUncertainty {
  double A1 = 0, B = 0, power = 0;
  friend bool operator==(const ElementUncertainty&, const ElementUncertainty&) = default;
};

/// What a shear-thinning liquid of one power-law index does, beside a Newtonian one.
struct ThinningFigures {
  double index = 1;
  double throughput = 1;        ///< pressure-free throughput over A1
  double rate_pressure = 0;     ///< rate per turn at which the viscosity of the pressure flow is read, pumping
  double rate_consuming = 0;    ///< the same where throughput is driven through against the element's sense
  double rate_power = 0;        ///< the same for the power beside that of the tip lands
  friend bool operator==(const ThinningFigures&, const ThinningFigures&) = default;
};

/// Particles followed through the filled element at one throughput, Newtonian (flow/particle_tracking).
struct TrackedFigures {
  double throughput = 0;       ///< V*: half of A1, or 0.1 where nothing is conveyed
  double length = 0;           ///< tracked, in D
  double time = 0;             ///< volume over throughput, in turns
  double time_gap = 0;         ///< mean time of the particles over that, less 1
  double time_error = 0;       ///< standard error of that gap
  double time_5 = 0, time_95 = 0;  ///< in turns, by which 5 and 95 % have left
  double mixing_length = 0;    ///< length worth one stirred tank, in D
  double strain = 0;           ///< mean, over the length tracked
  double tip_passes = 0;       ///< mean, per D
  double over_tip = 0;         ///< share of the flow that passes over a tip at least once
  friend bool operator==(const TrackedFigures&, const TrackedFigures&) = default;
};

/// One element, from its shape alone: the strip solved over a turn on two grids and carried to fine ones (Richardson).
/// In the sense in which it conveys forward or not at all; mirrored elements have A1, P1 of the opposite sign.
struct ElementSolution {
  ElementShape shape{};
  Characteristics line{};      ///< of an endless run
  std::optional<Characteristics> block{};  ///< kneading: the discs alone between planes of uniform pressure
  ElementUncertainty numerical{};  ///< finest grid to fine ones
  ElementUncertainty model{};      ///< against three-dimensional Stokes flow; docs/theory/element-solver
  bool in_range = true;            ///< of what that comparison covers
  double tip_power = 0, nip_power = 0, face_power = 0;  ///< of the power without gradient, P*; the channel has the rest
  ShearRates rates{};  ///< Newtonian, at half of A1
  std::vector<ThinningFigures> thinning{};  ///< falling index, from 1
  TrackedFigures tracked{};
  double balance = 0;  ///< worst relative gap of a mass or power balance or of reciprocity, over all snapshots
  int iterations = 0;  ///< most, of one linear solution
  int direct = 0;  ///< linear solutions that fell back to the sparse Cholesky
  friend bool operator==(const ElementSolution&, const ElementSolution&) = default;
};

struct ElementGrids {
  int coarse = 64, fine = 128;  ///< cells round one lobe; multiples of 16
  int turns = 12;
  int thinning_coarse = 64, thinning_fine = 96, thinning_turns = 4;
  int tracking = 64, tracking_turns = 24, particles = 3000;
};

/// A solution, or the name of what stopped it: "cancelled", or the solver that did not converge.
struct ElementOutcome {
  std::optional<ElementSolution> solution{};
  std::string stopped{};
};
ElementOutcome solve_element(const ElementShape& shape, const ElementGrids& grids = {}, const Progress& progress = {});

/// Counts up when the method changes its figures: solutions of another number are not used.
constexpr int element_method = 1;

/// Both uncertainties and half of what the ends of a block change, as one sigma each.
ElementUncertainty uncertainty(const ElementSolution& solution);

/// Cells of a shape when one lobe has `across`: square ones, as near as they come.
StripGrid grid_for(const ElementShape& shape, int across);

}  // namespace quern
