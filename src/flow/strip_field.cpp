#include "flow/strip_field.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cassert>
#include <cmath>
#include <memory>
#include <numeric>
#include <optional>

#include "flow/disc_edge.hpp"
#include "flow/lobe.hpp"
#include "flow/nip_strip.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int samples_per_nip_cell = 8;

std::size_t index(int i) { return static_cast<std::size_t>(i); }

int discs_to_repeat(double stagger, int starts) {
  constexpr int most = 36;
  const double period = 2 * pi / starts;
  int best = 1;
  double miss = 10;
  for (int m = 1; m <= most; ++m) {
    const double off = std::abs(std::remainder(m * stagger, period));
    if (off < miss - 1e-9) best = m, miss = off;
  }
  return best;
}

/// The nearest stagger that closes after so many discs.
double closing_stagger(double stagger, int discs, int starts) {
  const double period = 2 * pi / starts;
  return std::round(discs * stagger / period) * period / discs;
}

}  // namespace

struct StripFields::Impl {
  ElementShape shape;
  StripGrid grid;
  StripModel model;
  Run run;
  Profile profile;
  Lobe lobe;
  NipStrip nip;
  StripTopology topology{};
  std::vector<StripTopology::Ends> ends{};
  double stagger = 0, row = 0, length = 0, cusp_angle = 0, dx = 0, dy = 0;
  int discs = 0;

  Impl(const ElementShape& s, const StripGrid& g, const StripModel& m, Run r)
      : shape(s),
        grid(g),
        model(m),
        run(r),
        profile(s.profile()),
        lobe(s, m.slopes, m.curvature),
        nip(s, g.nip * samples_per_nip_cell) {
    int rows = grid.rows;
    if (shape.kind == ElementKind::kneading) {
      stagger = shape.stagger, discs = shape.discs;
      if (run == Run::endless)
        discs = discs_to_repeat(stagger, shape.starts), stagger = closing_stagger(stagger, discs, shape.starts);
      rows = discs * grid.rows_per_disc;
      length = discs * shape.disc_width;
    } else {
      length = shape.lead / shape.starts;
    }
    row = length / rows;
    cusp_angle = std::acos(shape.centre / shape.bore);
    dx = (2 * pi - 2 * cusp_angle) * profile.Rb / grid.across;
    dy = nip.height() / grid.nip;
    topology = {.rows = rows,
                .periodic = run == Run::endless,
                .junctions = 2,
                .strands = {{0, 1, grid.across - 1}, {1, 0, grid.across - 1}}};
    if (model.join == StripModel::Join::nip) topology.strands.push_back({1, 0, grid.nip - 1});
    ends = topology.link_ends();
  }

  bool kneading() const { return shape.kind == ElementKind::kneading; }
  double twist(double z) const { return -2 * pi * z / shape.lead; }
  double disc_twist(int disc) const { return -disc * stagger; }

  /// Profile angle at angle `theta` of a lobe when the first screw's tip stands at `turn`.
  double profile_angle(int which, double theta, double turn) const {
    return theta - turn + (which == 1 ? pi / shape.starts : 0);
  }

  /// One depth for both halves of a row: that through which pressure drives as much, since where a tip begins the mean
  /// of both would shear a whole cell's pressure drop over a gap it is not in.
  static void join_depth(double& depth, double other) {
    const auto per_cube = [](double h) { return 1 / (h * h * h); };
    depth = depth == 0 ? other : 1 / std::cbrt((per_cube(depth) + per_cube(other)) / 2);
  }

  void add_lobe_link(StripField& f, std::size_t i, double from, double share) const {
    const double dtheta = dx / profile.Rb, Rb = profile.Rb;
    const Lobe::Sums s = lobe.between(from, from + dtheta);
    f.conductance[i] += share / (Rb * s.resistance);
    f.drag[i] += share * s.drag / s.resistance;
    f.drag_loss[i] += share * Rb * (s.drag_square - s.drag * s.drag / s.resistance);
    f.shear[i] += share * Rb * s.shear;
    f.tip_shear[i] += share * Rb * s.tip_shear;
    join_depth(f.depth[i], lobe.depth(from + dtheta / 2));
  }

  void add_nip_links(StripField& f, int k, double turn, double share) const {
    const NipGap n = nip.at(turn);
    const double step = dy / samples_per_nip_cell, U = nip.speed();
    for (int c = 0; c < grid.nip; ++c) {
      double resistance = 0, drag = 0, drag_square = 0, shear = 0;
      for (int q = 0; q < samples_per_nip_cell; ++q) {
        const auto s = index(c * samples_per_nip_cell + q);
        const double per_M = 12 / (n.gap[s] * n.gap[s] * n.gap[s]);
        resistance += step * per_M, drag += step * n.drag[s] * per_M;
        drag_square += step * n.drag[s] * n.drag[s] * per_M, shear += step * U * U / n.gap[s];
      }
      const auto i = index((2 * f.lobe_links + c) * topology.rows + k);
      f.conductance[i] += share / resistance;
      f.drag[i] -= share * drag / resistance;
      f.drag_loss[i] += share * (drag_square - drag * drag / resistance);
      f.shear[i] += share * shear;
      join_depth(f.depth[i], n.gap[index(c * samples_per_nip_cell + samples_per_nip_cell / 2)]);
    }
  }

  /// Adds the conductance along the axis of each half cell of a link to the column it belongs to.
  template <class Half>
  void add_halves(std::vector<double>& along, int k, int strand, const Half& half) const {
    const int first = strand * grid.across, n = strand == 2 ? grid.nip : grid.across;
    for (int c = 0; c < n; ++c) {
      const StripTopology::Ends e = ends[index(first + c)];
      along[index(e.from * topology.rows + k)] += half(c + 0.25);
      along[index(e.to * topology.rows + k)] += half(c + 0.75);
    }
  }

  /// 1/M of the nip's passage, mean over each half cell as conductance: shape (2 cells)
  std::vector<double> passage(double turn) const {
    const NipGap n = nip.at(turn);
    constexpr int half = samples_per_nip_cell / 2;
    std::vector<double> mobility;
    for (int c = 0; c < 2 * grid.nip; ++c) {
      double sum = 0;
      for (int q = 0; q < half; ++q) sum += std::pow(std::max(0.0, n.passage[index(c * half + q)]), 3) / 12;
      mobility.push_back(sum / half);
    }
    return mobility;
  }

  void conveying(StripField& f, double turn) const {
    assert(run == Run::endless);
    const double theta_step = dx / profile.Rb;
    const bool with_nip = model.join == StripModel::Join::nip;
    std::vector<std::vector<double>> passages;  // two per row
    for (int k = 0; k < topology.rows; ++k)
      for (const double z : {(k + 0.25) * row, (k + 0.75) * row}) {
        const double now = turn + twist(z);
        for (int which = 0; which < 2; ++which)
          for (int c = 0; c < grid.across; ++c)
            add_lobe_link(f, index((which * grid.across + c) * topology.rows + k),
                          profile_angle(which, cusp_angle + c * theta_step, now), row / 2);
        if (with_nip) add_nip_links(f, k, now, row / 2), passages.push_back(passage(now));
        if (model.join == StripModel::Join::sealed) seal(f, k, now, row / 2);
      }
    for (int k = 0; k < topology.rows; ++k) {
      lobe_passages(f.along, k, (k + 0.5) * row, turn, 1);
      lobe_passages(f.axial, k, k * row, turn, row);
      if (!with_nip) continue;
      const auto &first = passages[index(2 * k)], &second = passages[index(2 * k + 1)],
                 &next = passages[index((2 * k + 2) % (2 * topology.rows))];
      add_halves(f.along, k, 2, [&](double c) { return in_series(second, next, c) / row; });
      add_halves(f.axial, k, 2, [&](double c) { return in_series(first, second, c); });
    }
  }

  /// Passage of half cells over one row's length from z on, times a factor.
  void lobe_passages(std::vector<double>& to, int k, double z, double turn, double factor) const {
    const double turned = 2 * pi * row / shape.lead;
    for (int which = 0; which < 2; ++which)
      add_halves(to, k, which, [&](double c) {
        const double a = lobe_angle(which, c, turn + twist(z));
        return factor * dx / 2 / (lobe.between(a, a + turned).resistance_axial * row / turned);
      });
  }

  /// Half a nip cell whose two samples along the axis are passed one after the other.
  double in_series(const std::vector<double>& a, const std::vector<double>& b, double cell) const {
    const auto i = index(static_cast<int>(2 * cell));
    return a[i] > 0 && b[i] > 0 ? dy / (1 / a[i] + 1 / b[i]) : 0;
  }

  /// The disc before or behind another; none beyond the ends of a block.
  std::optional<int> neighbour(int disc, int step) const {
    const int other = disc + step;
    if (run == Run::endless) return (other + discs) % discs;
    return other < 0 || other >= discs ? std::nullopt : std::optional(other);
  }

  double lobe_angle(int which, double cell, double turn) const {
    return profile_angle(which, cusp_angle + cell * dx / profile.Rb, turn);
  }

  /// What the edge towards a neighbouring disc does to one row of a link of this disc.
  void edge(StripField& f, std::size_t i, double here, double there) const {
    const DiscEdge e = disc_edge(std::min(here, there), std::max(here, there), shape.disc_width);
    const bool deep = here >= there;
    const double along = deep ? e.along_deep : e.along_shallow;
    const double drag = 2 - (deep ? e.drag_deep : e.drag_shallow);  // what the screw drags along, the barrel does not
    f.conductance[i] *= along, f.drag[i] *= drag, f.drag_loss[i] *= drag * drag / along;
    f.shear[i] += e.shear * lobe.speed() * lobe.speed() * dx / grid.rows_per_disc;  // half of the edge's
  }

  void seal(StripField& f, int k, double turn, double share) const {
    const double J = sealed_nip_flux(profile, turn) * share;
    f.source[index(k)] += J, f.source[index(topology.rows + k)] -= J;
  }

  void disc_links(StripField& f, int disc, double turn) const {
    const int first = disc * grid.rows_per_disc, half = grid.rows_per_disc / 2;
    for (int which = 0; which < 2; ++which)
      for (int c = 0; c < grid.across; ++c) {
        const std::size_t i = index((which * grid.across + c) * topology.rows + first);
        add_lobe_link(f, i, lobe_angle(which, c, turn + disc_twist(disc)), row);
        repeat(f, i, 1, 2 * half);
        if (!model.disc_edges) continue;
        for (const int step : {-1, 1})
          if (const auto other = neighbour(disc, step)) {
            const double there = lobe.depth(lobe_angle(which, c + 0.5, turn + disc_twist(*other)));
            const std::size_t from = i + index(step < 0 ? 0 : half);
            edge(f, from, f.depth[i], there);
            repeat(f, from, 1, half);
          }
      }
    if (model.join == StripModel::Join::sealed)
      for (int k = first; k < first + 2 * half; ++k) seal(f, k, turn + disc_twist(disc), row);
    if (model.join != StripModel::Join::nip) return;
    add_nip_links(f, first, turn + disc_twist(disc), row);
    for (int c = 0; c < grid.nip; ++c) repeat(f, index((2 * grid.across + c) * topology.rows + first), 1, 2 * half);
  }

  /// Rows from `from` to `to` after row i of a link are like it.
  static void repeat(StripField& f, std::size_t i, int from, int to) {
    for (std::vector<double>* v : {&f.conductance, &f.drag, &f.drag_loss, &f.shear, &f.tip_shear, &f.depth})
      for (int k = from; k < to; ++k) (*v)[i + index(k)] = (*v)[i];
  }

  /// Passage along the axis of one disc, per half cell of a strand.
  struct Passage {
    std::vector<double> mobility, depth;
  };
  Passage disc_passage(int strand, double turn) const {
    if (strand == 2) return {passage(turn), {}};
    Passage p;
    for (int c = 0; c < 2 * grid.across; ++c) {
      const double a = lobe_angle(strand, (c + 0.5) / 2, turn);
      p.mobility.push_back(lobe.mobility_axial(a)), p.depth.push_back(lobe.depth(a));
    }
    return p;
  }

  /// Resistance per width from the middle of a row to the middle of the next, which may belong to another disc.
  double row_to_row(const Passage& a, const Passage& b, std::size_t i, bool same_disc) const {
    const double resistance = row / 2 * (1 / a.mobility[i] + 1 / b.mobility[i]);
    if (same_disc || !model.disc_edges || a.depth.empty()) return resistance;
    const auto [shallow, deep] = std::minmax(a.depth[i], b.depth[i]);
    return resistance +
           disc_edge(shallow, deep, shape.disc_width).across * shallow / std::min(a.mobility[i], b.mobility[i]);
  }

  void disc_passages(StripField& f, int strand, double turn) const {
    std::vector<Passage> passages;
    for (int j = 0; j < discs; ++j) passages.push_back(disc_passage(strand, turn + disc_twist(j)));
    const double half = (strand == 2 ? dy : dx) / 2;
    const auto cell = [](double c) { return index(static_cast<int>(2 * c)); };
    for (int k = 0; k < topology.rows; ++k) {
      const int next = (k + 1) % topology.rows;
      const Passage &a = passages[index(k / grid.rows_per_disc)], &b = passages[index(next / grid.rows_per_disc)];
      const bool last = k + 1 == topology.rows, same = next % grid.rows_per_disc != 0;
      const auto on = [&](double c) {
        const std::size_t i = cell(c);
        return a.mobility[i] > 0 && b.mobility[i] > 0 ? half / row_to_row(a, b, i, same) : 0;
      };
      add_halves(f.axial, k, strand, [&](double c) { return half * a.mobility[cell(c)]; });
      const auto out = [&](double c) { return half * a.mobility[cell(c)] / (row / 2); };
      if (!last || run == Run::endless) add_halves(f.along, k, strand, on);
      if (run == Run::block && k == 0) add_halves(f.before, k, strand, out);
      if (run == Run::block && last) add_halves(f.after, k, strand, out);
    }
  }

  void kneading(StripField& f, double turn) const {
    for (int j = 0; j < discs; ++j) disc_links(f, j, turn);
    for (int strand = 0; strand < static_cast<int>(topology.strands.size()); ++strand) disc_passages(f, strand, turn);
  }
};

StripFields::StripFields(const ElementShape& shape, const StripGrid& grid, const StripModel& model, Run run)
    : impl_(std::make_unique<Impl>(shape, grid, model, run)) {}
StripFields::~StripFields() = default;
const StripTopology& StripFields::topology() const { return impl_->topology; }

StripField StripFields::at(double turn) const {
  StripField f;
  const StripTopology& t = impl_->topology;
  f.topology = t, f.length = impl_->length, f.row = impl_->row, f.lobe_links = impl_->grid.across;
  f.lobe_speed = impl_->lobe.speed(), f.nip_speed = impl_->nip.speed();
  for (auto* v : {&f.conductance, &f.drag, &f.drag_loss, &f.shear, &f.tip_shear, &f.depth, &f.area})
    v->assign(index(t.links()) * index(t.rows), 0.0);
  for (auto* v : {&f.along, &f.axial, &f.before, &f.after, &f.source}) v->assign(index(t.unknowns()), 0.0);
  if (impl_->kneading()) impl_->kneading(f, turn);
  else impl_->conveying(f, turn);
  for (int l = 0; l < t.links(); ++l)
    std::fill_n(f.area.begin() + static_cast<std::ptrdiff_t>(l) * t.rows, t.rows,
                f.row * (l < 2 * f.lobe_links ? impl_->dx : impl_->dy));
  return f;
}

}  // namespace quern
