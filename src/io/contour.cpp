#include "io/contour.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

namespace quern {
namespace {

/// Marching squares. A line enters and leaves squares through their sides; each side that it crosses is left towards
/// one neighbour only, so the lines are chains of sides.
class Tracer {
 public:
  Tracer(const GridValues& grid, double level)
      : grid_(grid), level_(level), next_(2 * grid.value.size(), none), entered_(next_.size(), false) {
    for (std::size_t j = 0; j + 1 < grid.y.size(); ++j)
      for (std::size_t i = 0; i + 1 < grid.x.size(); ++i) cross(i, j);
  }

  std::vector<std::vector<Dot>> lines() {
    std::vector<std::vector<Dot>> all;
    for (std::size_t side = 0; side < next_.size(); ++side)
      if (next_[side] != none && !entered_[side]) all.push_back(follow(side));
    for (std::size_t side = 0; side < next_.size(); ++side)
      if (next_[side] != none) all.push_back(follow(side));
    return all;
  }

 private:
  static constexpr std::size_t none = std::numeric_limits<std::size_t>::max();

  bool high(std::size_t i, std::size_t j) const { return grid_.at(i, j) >= level_; }
  /// Sides are known by the crossing where they begin and whether they run up.
  std::size_t side(std::size_t i, std::size_t j, bool up) const { return 2 * (j * grid_.x.size() + i) + (up ? 1 : 0); }

  void cross(std::size_t i, std::size_t j) {
    const std::array corners{high(i, j), high(i + 1, j), high(i + 1, j + 1), high(i, j + 1)};
    const std::array sides{side(i, j, false), side(i + 1, j, true), side(i, j + 1, false), side(i, j, true)};
    const double middle = (grid_.at(i, j) + grid_.at(i + 1, j) + grid_.at(i + 1, j + 1) + grid_.at(i, j + 1)) / 4;
    // Round the square anticlockwise a line comes in where the values fall and goes out where they rise. Where two
    // lines pass, each goes round the low corner if the middle is high, else round the high one.
    const std::size_t step = middle >= level_ ? 1 : 3;
    for (std::size_t k = 0; k < 4; ++k) {
      if (!corners[k] || corners[(k + 1) % 4]) continue;
      std::size_t out = (k + step) % 4;
      while (corners[out] || !corners[(out + 1) % 4]) out = (out + step) % 4;
      next_[sides[k]] = sides[out], entered_[sides[out]] = true;
    }
  }

  Dot dot(std::size_t side) const {
    const std::size_t nx = grid_.x.size(), i = side / 2 % nx, j = side / 2 / nx, up = side % 2, across = 1 - up;
    const double a = grid_.at(i, j), b = grid_.at(i + across, j + up);
    const double t = std::isfinite(a) && std::isfinite(b) ? std::clamp((level_ - a) / (b - a), 0.0, 1.0) : 0.5;
    return {std::lerp(grid_.x[i], grid_.x[i + across], t), std::lerp(grid_.y[j], grid_.y[j + up], t)};
  }

  std::vector<Dot> follow(std::size_t first) {
    std::vector<Dot> line{dot(first)};
    for (std::size_t at = first; next_[at] != none;) {
      at = std::exchange(next_[at], none);
      line.push_back(dot(at));
    }
    return line;
  }

  const GridValues& grid_;
  double level_;
  std::vector<std::size_t> next_;
  std::vector<bool> entered_;
};

/// The grid in a border of no width, lower than everything.
GridValues bordered(const GridValues& grid) {
  const auto doubled = [](std::vector<double> v) {
    v.insert(v.begin(), v.front()), v.push_back(v.back());
    return v;
  };
  constexpr double below = -std::numeric_limits<double>::infinity();
  GridValues out{doubled(grid.x), doubled(grid.y), {}};
  const std::size_t nx = grid.x.size();
  out.value.assign(out.x.size(), below);
  for (std::size_t j = 0; j < grid.y.size(); ++j) {
    const auto row = grid.value.begin() + static_cast<std::ptrdiff_t>(j * nx);
    out.value.push_back(below);
    out.value.insert(out.value.end(), row, row + static_cast<std::ptrdiff_t>(nx));
    out.value.push_back(below);
  }
  out.value.insert(out.value.end(), out.x.size(), below);
  return out;
}

double distance(Dot p, Dot a, Dot b) {
  const double dx = b.x - a.x, dy = b.y - a.y, length = std::hypot(dx, dy);
  return length > 0 ? std::abs((p.x - a.x) * dy - (p.y - a.y) * dx) / length : std::hypot(p.x - a.x, p.y - a.y);
}

}  // namespace

std::vector<std::vector<Dot>> contour_lines(const GridValues& grid, double level) {
  return Tracer(grid, level).lines();
}

std::vector<std::vector<Dot>> outlines_above(const GridValues& grid, double level) {
  const GridValues with_border = bordered(grid);
  return Tracer(with_border, level).lines();
}

std::vector<Dot> simplified(const std::vector<Dot>& line, double tolerance) {
  if (line.size() < 3) return line;
  std::vector<bool> stays(line.size(), false);
  stays.front() = stays.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> stretches{{0, line.size() - 1}};
  while (!stretches.empty()) {
    const auto [from, to] = stretches.back();
    stretches.pop_back();
    std::size_t farthest = from;
    double most = tolerance;
    for (std::size_t i = from + 1; i < to; ++i)
      if (const double d = distance(line[i], line[from], line[to]); d > most) most = d, farthest = i;
    if (farthest == from) continue;
    stays[farthest] = true;
    stretches.emplace_back(from, farthest), stretches.emplace_back(farthest, to);
  }
  std::vector<Dot> out;
  for (std::size_t i = 0; i < line.size(); ++i)
    if (stays[i]) out.push_back(line[i]);
  return out;
}

}  // namespace quern
