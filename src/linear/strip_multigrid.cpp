#include "linear/strip_multigrid.hpp"

#include <algorithm>

#include "linear/strip_interpolation.hpp"

namespace quern::strip {
namespace {

constexpr int small_enough = 40;  // unknowns; a dense inverse of these costs less than another grid

template <class T>
void size(StripOperator<T>& a, const SplitLayout& cells, const SplitLayout& links, bool nine) {
  for (std::vector<T>* v : {&a.along, &a.ground, &a.diagonal, &a.inverse}) v->assign(cells.size(), T(0));
  a.across.assign(links.size(), T(0));
  if (nine) a.rising = a.falling = a.across;
}

template <class T>
void size(StripWeights<T>& w, const StripLevel& level) {
  if (level.rows == Rows::kept) {
    w.left.assign(level.coarse_link_cells.size(), T(0));
    w.right = w.left;
    return;
  }
  w.below.assign(level.coarse_columns.size(), T(0));
  w.above = w.below;
  w.left.assign(level.coarse_links.size(), T(0));
  w.right = w.low_left = w.low_right = w.high_left = w.high_right = w.left;
}

void narrow(const std::vector<double>& from, std::vector<float>& to) { strip::narrow(from, to, 0, from.size()); }

/// Which direction prevails is judged from some 250 links. Joints across corners couple both ways: where one direction
/// prevails, they make up for a negative conductance in the other.
Treatment treat(const StripTopology& topology, const StripOperator<double>& a) {
  constexpr int samples = 255;
  constexpr double much = 3, little = 0.25;
  const SplitLayout at(topology.links(), topology.rows);
  const std::vector<StripTopology::Ends> ends = topology.link_ends();
  const int cells = topology.links() * topology.rows, step = std::max(1, cells / samples) | 1;
  std::vector<double> ratios;
  for (int i = 0; i < cells; i += step) {
    const int link = i / topology.rows, row = i % topology.rows;
    const std::size_t here = at.at_row(link, row);
    const double corners = a.rising.empty() ? 0.0 : a.rising[here] + a.falling[here];
    const double across = a.across[here] + corners;
    const double along = a.along[at.at_row(ends[static_cast<std::size_t>(link)].from, row)] + corners;
    if (along > 0) ratios.push_back(across / along);
  }
  if (ratios.empty()) return {};
  const auto middle = ratios.begin() + static_cast<std::ptrdiff_t>(ratios.size() / 2);
  std::nth_element(ratios.begin(), middle, ratios.end());
  const bool columns_left =
      std::any_of(topology.strands.begin(), topology.strands.end(), [](const StripStrand& s) { return s.columns > 0; });
  if (*middle > much && columns_left) return {.rows = Rows::kept};
  return {.lines = *middle < little};
}

template <class T>
std::size_t bytes(const StripOperator<T>& a) {
  std::size_t values = 0;
  for (const std::vector<T>* v : {&a.across, &a.rising, &a.falling, &a.along, &a.ground, &a.diagonal, &a.inverse})
    values += v->size();
  return values * sizeof(T);
}

template <class T>
std::size_t bytes(const StripWeights<T>& w) {
  return sizeof(T) * (2 * w.below.size() + 2 * w.left.size() + 4 * w.low_left.size());
}

}  // namespace

StripMultigrid::Grid::Grid(const StripLevel& shape, const Treatment& how, StripOperator<double>& operator_,
                           std::vector<float>& answer, std::vector<float>& right_side)
    : level(shape),
      treatment(how),
      exact(operator_),
      x(answer),
      right(right_side),
      galerkin(level),
      strands(level, a),
      points(level, a, strands.covered()),
      lines(level, a),
      transfer(level, a, weights, !how.lines) {
  const bool nine = level.stencil_of_nine;
  size(a, level.cells, level.links, nine);
  size(exact_weights, level);
  size(weights, level);
  size(coarse, level.coarse_cells, level.coarse_link_cells, true);
  coarse_x.assign(level.coarse_cells.size(), 0.0F);
  coarse_right = coarse_x;
}

StripMultigrid::StripMultigrid(const StripTopology& topology) : level_(topology, Rows::halved, false) {
  size(finest_, level_.cells, level_.links, false);
  x_.assign(level_.cells.size(), 0.0F);
  right_ = x_;
}

std::size_t StripMultigrid::bytes() const {
  std::size_t sum = strip::bytes(finest_) + 2 * sizeof(float) * x_.size();
  for (const auto& grid : grids_)
    sum += strip::bytes(grid->a) + strip::bytes(grid->coarse) + strip::bytes(grid->exact_weights) +
           strip::bytes(grid->weights) + 2 * sizeof(float) * grid->coarse_x.size() + grid->galerkin.bytes() +
           grid->lines.bytes() + grid->strands.bytes();
  return sum;
}

/// Grids of the last set-up are used again as far as they are treated the same.
void StripMultigrid::set(bool floating) {
  StripTopology topology = level_.topology;
  for (std::size_t g = 0;; ++g) {
    Grid* const finer = g > 0 ? grids_[g - 1].get() : nullptr;
    StripOperator<double>& a = finer ? finer->coarse : finest_;
    const Treatment treatment = treat(topology, a);
    if (g < grids_.size() && !(grids_[g]->treatment == treatment)) grids_.resize(g), coarsest_.reset();
    if (g == grids_.size())
      grids_.push_back(std::make_unique<Grid>(StripLevel(topology, treatment.rows, g > 0), treatment, a,
                                              finer ? finer->coarse_x : x_, finer ? finer->coarse_right : right_));
    Grid& grid = *grids_[g];
    grid.set();
    const bool done = grid.level.coarse_topology.unknowns() <= small_enough || grid.level.coarse_topology == topology;
    topology = grid.level.coarse_topology;
    if (done) break;
  }
  if (!coarsest_) coarsest_ = std::make_unique<StripCoarsest>(topology);
  coarsest_->invert(grids_.back()->coarse, floating);
}

void StripMultigrid::Grid::set() {
  complete(level, exact, a);
  StripInterpolation(level, exact, exact_weights).find();
  galerkin.coarsen(exact, exact_weights, coarse);
  narrow(exact_weights.below, weights.below);
  narrow(exact_weights.above, weights.above);
  narrow(exact_weights.left, weights.left);
  narrow(exact_weights.right, weights.right);
  narrow(exact_weights.low_left, weights.low_left);
  narrow(exact_weights.low_right, weights.low_right);
  narrow(exact_weights.high_left, weights.high_left);
  narrow(exact_weights.high_right, weights.high_right);
  if (treatment.lines) lines.factor(exact);
  else strands.set(exact);
  transfer.set_by_colours(!treatment.lines &&
                          !strands.any());  // rows of a strand come last and leave residuals beside them
}

void StripMultigrid::Grid::forward() {
  if (treatment.lines) return lines.forward(x, right);
  points.forward(x, right);
  strands.forward(x, right);
}

void StripMultigrid::Grid::backward() {
  if (treatment.lines) return lines.backward(x, right);
  strands.backward(x, right);
  points.backward(x, right);
}

void StripMultigrid::cycle(std::size_t g) {
  Grid& grid = *grids_[g];
  grid.forward();
  grid.transfer.restrict_residual(grid.x, grid.right, grid.coarse_right);
  g + 1 < grids_.size() ? cycle(g + 1) : coarsest_->solve(grid.coarse_right, grid.coarse_x);
  grid.transfer.prolong(grid.coarse_x, grid.x);
  grid.backward();
}

}  // namespace quern::strip
