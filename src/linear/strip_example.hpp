#pragma once
#include <algorithm>
#include <cmath>
#include <numbers>

#include "linear/strip_system.hpp"
namespace quern {

/// Made-up gaps between screw and barrel with the jumps real ones have, to test and measure solvers on. Lengths are in
/// widths of the barrel's circumference.
///
/// Two starts wind around: sharp tips with a narrow gap, and between them a channel that deepens as sin^0.6. On a ring
/// a window opposite the first column is squeezed, as where two screws mesh; on a figure-eight the third strand is.
struct StripExample {
  StripTopology topology{};
  double aspect = 1.43;  ///< of a cell, along over around
  double tip = 1e-4;  ///< gap [any]
  double channel = 1e-2;  ///< deepest gap, in the same unit; conductances span (channel/tip)³
  double turn = 0.3 / 6.283185307179586;  ///< of the screw, in turns
  double leads = 1;  ///< turns of the helix over the length; a whole number fits a periodic strip
  double pressure = 2e6;  ///< at the far end of an open strip
};

namespace strip_example {

/// Where a column lies: share of its lobe's circumference, and what bounds the gap there from above.
struct Place {
  double around = 0;
  bool mirrored = false, nip = false;
};

inline std::vector<Place> places(const StripTopology& t) {
  std::vector<Place> all(static_cast<std::size_t>(t.columns()));
  auto column = static_cast<std::size_t>(t.junctions);
  for (std::size_t s = 0; s < t.strands.size(); ++s)
    for (int i = 0; i < t.strands[s].columns; ++i, ++column)
      all[column] = {(i + 1.0) / (t.strands[s].columns + 1.0), s == 1, s == 2};
  return all;
}

inline double gap(const StripExample& e, const Place& p, double along) {
  constexpr double tip_share = 0.12, pi = std::numbers::pi;
  const double where = p.mirrored ? -p.around : p.around;
  double phase = 2 * (where - e.turn) - e.leads * along;
  phase -= std::floor(phase);
  double h = e.tip;
  if (phase > tip_share) h += (e.channel - e.tip) * std::pow(std::sin(pi * (phase - tip_share) / (1 - tip_share)), 0.6);
  const double from_window = std::abs(p.around - 0.5) / 0.05;
  const bool squeezed = p.nip || (e.topology.junctions == 1 && from_window < 1);
  if (!squeezed) return h;
  const double open = p.nip ? 0.2 : from_window * from_window;
  return std::min(h, 2.5 * e.tip + 0.8 * e.channel * open * (1.2 + std::sin(2 * pi * (e.leads * along + 2 * e.turn))));
}

inline double in_series(double a, double b) { return 2 * a * b / (a + b); }

}  // namespace strip_example

/// One junction and columns - 1 others.
inline StripTopology ring(int columns, int rows, bool periodic) {
  return {
      .rows = rows, .periodic = periodic, .junctions = 1, .strands = {{.from = 0, .to = 0, .columns = columns - 1}}};
}

/// Two lobes, and a nip between the cusps; columns without the cusps.
inline StripTopology figure_eight(int lobe, int nip, int rows, bool periodic) {
  return {.rows = rows,
          .periodic = periodic,
          .junctions = 2,
          .strands = {{.from = 0, .to = 1, .columns = lobe},
                      {.from = 1, .to = 0, .columns = lobe},
                      {.from = 0, .to = 1, .columns = nip}}};
}

struct StripProblem {
  StripSystem system;
  std::vector<double> b;  ///< shape (columns, rows)
};

/// Conductances h³ and drag on the cells. An open strip has ground at both ends, a periodic one none.
inline StripProblem strip_problem(const StripExample& e) {
  const StripTopology& t = e.topology;
  const auto rows = static_cast<std::size_t>(t.rows), columns = static_cast<std::size_t>(t.columns());
  const auto links = static_cast<std::size_t>(t.links());
  const double across = e.aspect, along = 1 / e.aspect, most = std::pow(e.channel, 3);
  const std::vector<strip_example::Place> place = strip_example::places(t);
  std::vector<double> h(columns * rows), g(columns * rows);
  for (std::size_t c = 0; c < columns; ++c)
    for (std::size_t k = 0; k < rows; ++k) {
      h[c * rows + k] = strip_example::gap(e, place[c], (static_cast<double>(k) + 0.5) / static_cast<double>(rows));
      g[c * rows + k] = std::pow(h[c * rows + k], 3) / most;
    }
  StripProblem problem{
      {t, std::vector<double>(links * rows), std::vector<double>(columns * rows), std::vector<double>(columns * rows)},
      std::vector<double>(columns * rows)};
  StripSystem& s = problem.system;
  std::vector<double>& b = problem.b;
  const std::vector<StripTopology::Ends> ends = t.link_ends();
  for (std::size_t l = 0; l < links; ++l)
    for (std::size_t k = 0; k < rows; ++k) {
      const std::size_t from = static_cast<std::size_t>(ends[l].from) * rows + k,
                        to = static_cast<std::size_t>(ends[l].to) * rows + k;
      const double drag = across * (h[from] + h[to]) / e.channel;
      s.link[l * rows + k] = across * strip_example::in_series(g[from], g[to]);
      b[from] -= drag, b[to] += drag;
    }
  for (std::size_t c = 0; c < columns; ++c) {
    for (std::size_t k = 0; k < (t.periodic ? rows : rows - 1); ++k)
      s.along[c * rows + k] = along * strip_example::in_series(g[c * rows + k], g[c * rows + (k + 1) % rows]);
    if (t.periodic) continue;
    const std::size_t first = c * rows, last = first + rows - 1;
    s.ground[first] += 2 * along * g[first], s.ground[last] += 2 * along * g[last];
    b[last] += 2 * along * g[last] * e.pressure / 1e3;
  }
  return problem;
}

}  // namespace quern
