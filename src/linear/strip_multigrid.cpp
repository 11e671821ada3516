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
  w.below.assign(level.coarse_columns.size(), T(0));
  w.above = w.below;
  w.left.assign(level.coarse_links.size(), T(0));
  w.right = w.low_left = w.low_right = w.high_left = w.high_right = w.left;
}

void narrow(const std::vector<double>& from, std::vector<float>& to) {
  const std::size_t n = from.size();
  for (std::size_t i = 0; i < n; ++i) to[i] = static_cast<float>(from[i]);
}

}  // namespace

StripMultigrid::Grid::Grid(const StripTopology& topology, bool stencil_of_nine)
    : level(topology, stencil_of_nine),
      galerkin(level),
      points(level, a),
      column_lines(level, a),
      row_lines(level, a) {
  size(exact, level.cells, level.links, stencil_of_nine);
  size(a, level.cells, level.links, stencil_of_nine);
  size(exact_weights, level);
  size(weights, level);
  x.assign(level.cells.size(), 0.0F);
  right = x;
}

StripMultigrid::StripMultigrid(const StripTopology& topology) {
  grids_.push_back(std::make_unique<Grid>(topology, false));
  while (true) {
    const StripTopology& coarse = grids_.back()->level.coarse_topology;
    if (coarse.unknowns() <= small_enough || coarse == grids_.back()->level.topology) break;
    grids_.push_back(std::make_unique<Grid>(coarse, true));
  }
  const StripLevel& level = grids_.back()->level;
  coarsest_ = std::make_unique<StripCoarsest>(level.coarse_topology);
  size(last_, level.coarse_cells, SplitLayout(level.coarse_topology.links(), level.coarse_topology.rows), true);
  last_right_.assign(level.coarse_cells.size(), 0.0F);
  last_x_ = last_right_;
}

void StripMultigrid::set(bool floating) {
  for (std::size_t g = 0; g < grids_.size(); ++g) {
    Grid& grid = *grids_[g];
    complete(grid.level, grid.exact);
    StripInterpolation(grid.level, grid.exact, grid.exact_weights).find();
    grid.galerkin.coarsen(grid.exact, grid.exact_weights, g + 1 < grids_.size() ? grids_[g + 1]->exact : last_);
    grid.narrow();
    grid.relaxation = grid.choose();
    if (grid.relaxation == Relaxation::column_lines) grid.column_lines.factor(grid.exact);
    if (grid.relaxation == Relaxation::row_lines) grid.row_lines.factor(grid.exact);
    const bool half_done = grid.relaxation == Relaxation::points && !grid.level.stencil_of_nine;
    grid.transfer = std::make_unique<StripTransfer>(grid.level, grid.a, grid.weights, half_done);
  }
  coarsest_->invert(last_, floating);
}

void StripMultigrid::Grid::narrow() {
  strip::narrow(exact.across, a.across);
  strip::narrow(exact.rising, a.rising);
  strip::narrow(exact.falling, a.falling);
  strip::narrow(exact.along, a.along);
  strip::narrow(exact.diagonal, a.diagonal);
  strip::narrow(exact.inverse, a.inverse);
  strip::narrow(exact_weights.below, weights.below);
  strip::narrow(exact_weights.above, weights.above);
  strip::narrow(exact_weights.left, weights.left);
  strip::narrow(exact_weights.right, weights.right);
  strip::narrow(exact_weights.low_left, weights.low_left);
  strip::narrow(exact_weights.low_right, weights.low_right);
  strip::narrow(exact_weights.high_left, weights.high_left);
  strip::narrow(exact_weights.high_right, weights.high_right);
}

/// Points cannot smooth along a direction that couples little: error stays there that no coarser grid sees. Which
/// direction prevails is judged from some 250 cells.
StripMultigrid::Relaxation StripMultigrid::Grid::choose() const {
  constexpr int samples = 255;
  constexpr double much = 4;
  std::vector<double> ratios;
  const int columns = level.cells.columns(), rows = level.cells.rows();
  const int cells = columns * rows, step = std::max(1, cells / samples) | 1;
  for (int i = 0; i < cells; i += step) {
    const int column = i / rows, row = i % rows;
    const std::vector<Side>& sides = level.sides[static_cast<std::size_t>(column)];
    if (sides.empty()) continue;
    const double across = exact.across[level.links.at_row(sides.back().link, row)];
    const double along = exact.along[level.cells.at_row(column, row)];
    if (along > 0) ratios.push_back(across / along);
  }
  if (ratios.empty()) return Relaxation::points;
  const auto middle = ratios.begin() + static_cast<std::ptrdiff_t>(ratios.size() / 2);
  std::nth_element(ratios.begin(), middle, ratios.end());
  if (*middle > much) return Relaxation::row_lines;
  return *middle < 1 / much ? Relaxation::column_lines : Relaxation::points;
}

void StripMultigrid::Grid::forward() {
  switch (relaxation) {
    case Relaxation::points: return points.forward(x, right);
    case Relaxation::column_lines: return column_lines.forward(x, right);
    case Relaxation::row_lines: return row_lines.forward(x, right);
  }
}

void StripMultigrid::Grid::backward() {
  switch (relaxation) {
    case Relaxation::points: return points.backward(x, right);
    case Relaxation::column_lines: return column_lines.backward(x, right);
    case Relaxation::row_lines: return row_lines.backward(x, right);
  }
}

void StripMultigrid::cycle() { cycle(0); }

void StripMultigrid::cycle(std::size_t g) {
  Grid& grid = *grids_[g];
  const bool last = g + 1 == grids_.size();
  grid.forward();
  grid.transfer->restrict_residual(grid.x, grid.right, last ? last_right_ : grids_[g + 1]->right);
  last ? coarsest_->solve(last_right_, last_x_) : cycle(g + 1);
  grid.transfer->prolong(last ? last_x_ : grids_[g + 1]->x, grid.x);
  grid.backward();
}

}  // namespace quern::strip
