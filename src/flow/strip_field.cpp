#include "flow/strip_field.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <memory>
#include <numeric>

#include "flow/lobe.hpp"
#include "flow/nip_strip.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int samples_per_nip_cell = 8;

std::size_t index(int i) { return static_cast<std::size_t>(i); }

/// Rows of one disc, or of a whole conveying element, where the screws stand still relative to one another.
struct Slice {
  double twist;  ///< at the row's middle
};

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
        lobe(s, m.slopes),
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

  void add_lobe_link(StripField& f, std::size_t i, double from, double share) const {
    const double dtheta = dx / profile.Rb, Rb = profile.Rb;
    const Lobe::Sums s = lobe.between(from, from + dtheta);
    f.conductance[i] += share / (Rb * s.resistance);
    f.drag[i] += share * s.drag / s.resistance;
    f.drag_loss[i] += share * Rb * (s.drag_square - s.drag * s.drag / s.resistance);
    f.shear[i] += share * Rb * s.shear;
    f.tip_shear[i] += share * Rb * s.tip_shear;
    f.depth[i] += share / row * lobe.depth(from + dtheta / 2);
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
      f.depth[i] += share / row * n.gap[index(c * samples_per_nip_cell + samples_per_nip_cell / 2)];
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
      }
    const int faces = run == Run::endless ? topology.rows : topology.rows - 1;
    const double turned = 2 * pi * row / shape.lead;
    const auto lobes = [&](std::vector<double>& to, int k, double z, double rows) {
      for (int which = 0; which < 2; ++which)
        add_halves(to, k, which, [&](double c) {
          const double a = profile_angle(which, cusp_angle + c * theta_step, turn + twist(z));
          return dx / 2 / (lobe.between(a, a + rows * turned).resistance * row / turned);
        });
    };
    for (int k = 0; k < faces; ++k) {
      lobes(f.along, k, (k + 0.5) * row, 1);
      if (!with_nip) continue;
      const auto &before = passages[index(2 * k + 1)], &after = passages[index((2 * k + 2) % (2 * topology.rows))];
      add_halves(f.along, k, 2,
                 [&](double c) { return series(before[index(int(2 * c))], after[index(int(2 * c))], 0); });
    }
    if (run == Run::block) throw std::logic_error("a conveying element has no ends of its own");
  }

  /// Two half rows one after the other, with an extra length of resistance; per half nip cell.
  double series(double M1, double M2, double extra) const {
    if (M1 <= 0 || M2 <= 0) return 0;
    return dy / 2 / (row / 2 * (1 / M1 + 1 / M2) + extra);
  }

  void kneading(StripField& f, double turn) const {
    const double theta_step = dx / profile.Rb;
    const bool with_nip = model.join == StripModel::Join::nip;
    const auto rows_of = [&](int disc) {
      return std::pair{disc * grid.rows_per_disc, (disc + 1) * grid.rows_per_disc};
    };
    std::vector<std::vector<double>> mobility[3];  // by strand, per disc, per half cell
    for (int j = 0; j < discs; ++j) {
      const double now = turn + disc_twist(j);
      const auto [first, last] = rows_of(j);
      for (int which = 0; which < 2; ++which) {
        std::vector<double> M;
        for (int c = 0; c < 2 * grid.across; ++c)
          M.push_back(lobe.mobility(profile_angle(which, cusp_angle + (c + 0.5) / 2 * theta_step, now)));
        mobility[which].push_back(std::move(M));
        for (int c = 0; c < grid.across; ++c) {
          const auto i = index((which * grid.across + c) * topology.rows + first);
          add_lobe_link(f, i, profile_angle(which, cusp_angle + c * theta_step, now), row);
        }
      }
      if (with_nip) add_nip_links(f, first, now, row), mobility[2].push_back(passage(now));
      for (std::vector<double>* v : {&f.conductance, &f.drag, &f.drag_loss, &f.shear, &f.tip_shear, &f.depth})
        for (int l = 0; l < topology.links(); ++l)
          for (int k = first + 1; k < last; ++k)
            (*v)[index(l * topology.rows + k)] = (*v)[index(l * topology.rows + first)];
    }
    const int strands = with_nip ? 3 : 2;
    for (int s = 0; s < strands; ++s) {
      const double half = (s == 2 ? dy : dx) / 2;
      for (int k = 0; k < topology.rows; ++k) {
        const int j = k / grid.rows_per_disc, next = (k + 1) % topology.rows / grid.rows_per_disc;
        const auto &M1 = mobility[s][index(j)], &M2 = mobility[s][index(next)];
        const auto pass = [&](double c) {
          const auto i = index(static_cast<int>(2 * c));
          return M1[i] > 0 && M2[i] > 0 ? half / (row / 2 * (1 / M1[i] + 1 / M2[i])) : 0;
        };
        const auto end = [&](const std::vector<double>& M) {
          return [&](double c) { return half * M[index(static_cast<int>(2 * c))] / (row / 2); };
        };
        if (k + 1 < topology.rows || run == Run::endless) add_halves(f.along, k, s, pass);
        if (run == Run::block && k == 0) add_halves(f.before, k, s, end(M1));
        if (run == Run::block && k + 1 == topology.rows) add_halves(f.after, k, s, end(M1));
      }
    }
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
    v->assign(static_cast<std::size_t>(t.links() * t.rows), 0.0);
  for (auto* v : {&f.along, &f.before, &f.after}) v->assign(static_cast<std::size_t>(t.unknowns()), 0.0);
  if (impl_->kneading()) impl_->kneading(f, turn);
  else impl_->conveying(f, turn);
  for (int l = 0; l < t.links(); ++l)
    std::fill_n(f.area.begin() + static_cast<std::ptrdiff_t>(l) * t.rows, t.rows,
                f.row * (l < 2 * f.lobe_links ? impl_->dx : impl_->dy));
  return f;
}

}  // namespace quern
