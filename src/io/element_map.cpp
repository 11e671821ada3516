#include "io/element_map.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>

#include "flow/strip_equations.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

std::size_t index(int i) { return static_cast<std::size_t>(i); }

/// The solved instant, and how often an endless run is repeated to fill the picture.
struct Instant {
  StripField field;
  std::vector<double> p;  ///< shape (columns, rows); endless: beside the mean gradient
  double gradient = 0;
  int times = 1;
  std::vector<StripTopology::Ends> ends;
  std::vector<int> jumps;  ///< rows at which the section changes, kneading

  int rows() const { return field.topology.rows; }
  int shown() const { return rows() * times; }
  bool periodic() const { return field.topology.periodic; }
  double length() const { return field.length * times; }
  std::size_t cell(int column, int row) const { return index(column * rows() + row % rows()); }

  /// On the face before a row of an endless run, over the start.
  double face_pressure(int column, int face) const {
    return (p[cell(column, face + rows() - 1)] + p[cell(column, face)]) / 2 + gradient * face * field.row;
  }
  /// Flux through a link in one row, the way the link runs.
  double flux(int link, int row) const {
    const auto [from, to] = ends[index(link)];
    const std::size_t i = cell(link, row);
    return -field.conductance[i] * (p[cell(to, row)] - p[cell(from, row)]) - field.drag[i];
  }
  /// Flux through the face before a row, with the axis.
  double axial(int column, int face) const {
    const std::size_t here = cell(column, face);
    if (periodic()) {
      const std::size_t last = cell(column, face + rows() - 1);
      return -field.along[last] * (p[here] - p[last] + gradient * field.row);
    }
    if (face == 0) return -field.before[here] * p[here];
    const std::size_t last = cell(column, face - 1);
    if (face == rows()) return -field.after[last] * (gradient * field.length - p[last]);
    return -field.along[last] * (p[here] - p[last]);
  }
};

Instant solved_instant(const ElementShape& shape, double gradient, int across) {
  const bool kneading = shape.kind == ElementKind::kneading;
  const StripGrid grid = grid_for(shape, across);
  Instant now{StripFields(shape, grid, {}, kneading ? Run::block : Run::endless).at(0), {}, gradient, 1, {}, {}};
  const StripFlow flow = strip_flow(now.field);
  now.p = flow.p_turn;
  for (std::size_t i = 0; i < now.p.size(); ++i) now.p[i] += gradient * flow.p_gradient[i];
  now.ends = now.field.topology.link_ends();
  if (kneading)
    for (int disc = 1; disc < shape.discs; ++disc) now.jumps.push_back(disc * grid.rows_per_disc);
  else now.times = std::max(1, static_cast<int>(std::lround(1 / now.field.length)));
  return now;
}

/// The links of one strand and the columns they join.
struct Strand {
  int first = 0, links = 0;
  double width = 0;
  double step() const { return width / links; }
};

/// Gaps at the middles of links, carried on level to both ends of the strip; one row for each length of even section.
GridValues gap_of(const Instant& now, const Strand& s) {
  GridValues g;
  g.x.push_back(0);
  for (int l = 0; l < s.links; ++l) g.x.push_back((l + 0.5) * s.step());
  g.x.push_back(s.width);
  const auto add = [&](double y, int before, int behind) {
    g.y.push_back(y);
    const auto depth = [&](int l) {
      const auto of = [&](int row) { return now.field.depth[now.cell(s.first + l, row)]; };
      return (of(before) + of(behind)) / 2;
    };
    g.value.push_back(depth(0));
    for (int l = 0; l < s.links; ++l) g.value.push_back(depth(l));
    g.value.push_back(depth(s.links - 1));
  };
  if (now.periodic()) {
    for (int k = 0; k <= now.shown(); ++k) add(k * now.field.row, k + now.rows() - 1, k);
    return g;
  }
  int from = 0;
  for (std::size_t d = 0; d <= now.jumps.size(); ++d) {
    const int to = d < now.jumps.size() ? now.jumps[d] : now.rows();
    add(from * now.field.row, from, from), add(to * now.field.row, from, from);
    from = to;
  }
  return g;
}

GridValues pressure_of(const Instant& now, const Strand& s) {
  GridValues g;
  std::vector<int> columns{now.ends[index(s.first)].from};
  for (int l = 0; l < s.links; ++l) columns.push_back(now.ends[index(s.first + l)].to);
  for (int c = 0; c <= s.links; ++c) g.x.push_back(c * s.step());
  const auto add = [&](double y, const auto& pressure) {
    g.y.push_back(y);
    for (const int c : columns) g.value.push_back(pressure(c));
  };
  if (now.periodic()) {
    for (int k = 0; k <= now.shown(); ++k) add(k * now.field.row, [&](int c) { return now.face_pressure(c, k); });
    return g;
  }
  add(0, [](int) { return 0.0; });
  for (int k = 0; k < now.rows(); ++k) add((k + 0.5) * now.field.row, [&](int c) { return now.p[now.cell(c, k)]; });
  add(now.length(), [&](int) { return now.gradient * now.length(); });
  return g;
}

/// ψ at the middles of links and the faces between rows: grows along y by what passes a link, falls along x by what
/// passes the column's face. Continuity makes it the same by any way.
GridValues stream_of(const Instant& now, const Strand& s) {
  GridValues g;
  for (int l = 0; l < s.links; ++l) g.x.push_back((l + 0.5) * s.step());
  double edge = 0;
  for (int k = 0; k <= now.shown(); ++k) {
    g.y.push_back(k * now.field.row);
    double psi = edge;
    g.value.push_back(psi);
    for (int l = 0; l + 1 < s.links; ++l)
      g.value.push_back(psi -= now.axial(now.ends[index(s.first + l)].to, now.periodic() ? k % now.rows() : k));
    if (k < now.shown()) edge += now.flux(s.first, k);
  }
  return g;
}

/// The same seen in a mirror across the axis; lines keep their sense when the values change sign.
void mirror(GridValues& g, double length, double sign) {
  const std::size_t nx = g.x.size();
  std::vector<double> value;
  for (std::size_t j = g.y.size(); j-- > 0;)
    for (std::size_t i = 0; i < nx; ++i) value.push_back(sign * g.at(i, j));
  g.value = std::move(value);
  std::ranges::reverse(g.y);
  for (double& y : g.y) y = length - y;
}

void mirror(StripMap& m, double length, double end_pressure) {
  mirror(m.gap, length, 1), mirror(m.pressure, length, 1), mirror(m.stream, length, -1);
  for (double& p : m.pressure.value) p -= end_pressure;
}

}  // namespace

ElementMap element_map(const ElementShape& shape, bool mirrored, double gradient, int across) {
  const Instant now = solved_instant(shape, gradient, across);
  const double Rb = shape.bore / 2, cusp = std::acos(shape.centre / shape.bore);
  const int nip = now.field.topology.links() - 2 * across;
  ElementMap map{.length = now.length(), .throughput = axial_flow(now.field, now.p, gradient), .gradient = gradient};
  const auto strip = [&](const Strand& s) {
    return StripMap{s.width, gap_of(now, s), pressure_of(now, s), stream_of(now, s)};
  };
  const double arc = (2 * pi - 2 * cusp) * Rb;
  map.bore_1 = strip({0, across, arc}), map.bore_2 = strip({across, across, arc});
  map.nip = strip({2 * across, nip, 2 * Rb * std::sin(cusp)});
  if (!mirrored) return map;
  for (StripMap* m : {&map.bore_1, &map.bore_2, &map.nip}) mirror(*m, map.length, gradient * map.length);
  map.throughput *= -1, map.gradient *= -1;
  return map;
}

}  // namespace quern
