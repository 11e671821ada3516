#include <algorithm>
#include <array>
#include <atomic>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <thread>

#include "flow/nip_strip.hpp"
#include "flow/strip_flow.hpp"
#include "flow/track_field.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr int nip_samples = 8;  // heights per whole cell of the nip
constexpr int row_samples = 4;  // places along a row of a conveying element

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// Running integral of (Rb² - r²)/2 over the profile angle, from 0. All volumes and all that is swept are differences
/// of it, so that they agree to rounding whatever its own error.
class FreeSector {
 public:
  FreeSector(const Profile& p, double worn_radius) : period_(2 * pi / p.starts) {
    sum_.push_back(0);
    for (int i = 0; i < nodes; ++i) {
      const double r = std::min(radius(p, (i + 0.5) * period_ / nodes), worn_radius);
      sum_.push_back(sum_.back() + (p.Rb * p.Rb - r * r) / 2 * period_ / nodes);
    }
  }
  double operator()(double angle) const {
    const double turns = std::floor(angle / period_), u = (angle / period_ - turns) * nodes;
    const auto i = std::min(static_cast<std::size_t>(u), at(nodes - 1));
    return turns * sum_.back() + sum_[i] + (u - static_cast<double>(i)) * (sum_[i + 1] - sum_[i]);
  }

 private:
  static constexpr int nodes = 4096;
  double period_;
  std::vector<double> sum_{};
};

class Builder {
 public:
  Builder(const ElementShape& shape, const StripGrid& grid, const TrackSetting& setting)
      : setting_(setting),
        profile_(shape.profile()),
        worn_radius_(profile_.Rb - shape.tip_gap()),
        centre_(shape.centre),
        sector_(profile_, worn_radius_),
        nip_(shape, grid.nip * nip_samples),
        fields_(shape, grid, StripModel{}, setting.run) {
    TrackField& f = field_;
    f.rows = fields_.topology().rows, f.periodic = setting.run == Run::endless;
    f.lobe_cells = grid.across + 1, f.nip_cells = grid.nip + 1;
    f.bore_radius = profile_.Rb, f.cusp_angle = std::acos(shape.centre / shape.bore), f.starts = shape.starts;
    f.cell_angle = 2 * (pi - f.cusp_angle) / grid.across, f.throughput = setting.throughput;
    if (shape.kind == ElementKind::kneading) set_kneading(shape, grid);
    else set_conveying(shape);
    f.cells.resize(at(f.intervals) * at(f.rows) * at(f.row_cells()));
    f.nip_rate.resize(at(f.intervals) * at(f.rows) * at(f.nip_cells));
    f.nip_walls.resize(f.nip_rate.size());
  }

  TrackField build() {
    std::atomic<int> next = 0;
    const auto work = [&] {
      for (int n = next++; n < field_.intervals; n = next++) fill(n);
    };
    std::vector<std::thread> others;
    for (int i = 1; i < setting_.threads; ++i) others.emplace_back(work);
    work();
    for (std::thread& t : others) t.join();
    return std::move(field_);
  }

 private:
  void set_conveying(const ElementShape& shape) {
    TrackField& f = field_;
    f.row = shape.lead / shape.starts / f.rows, f.twist_row = 2 * pi * f.row / shape.lead;
    f.intervals = 1, f.shift = 1, f.duration = f.row / shape.lead;  // the pattern moves on by one row
  }

  void set_kneading(const ElementShape& shape, const StripGrid& grid) {
    TrackField& f = field_;
    const double period = 2 * pi / shape.starts;
    const int discs = f.rows / grid.rows_per_disc;
    f.row = shape.disc_width / grid.rows_per_disc, f.rows_per_disc = grid.rows_per_disc;
    f.twist_disc = shape.stagger, f.intervals = setting_.turns;
    // an endless stack repeats within a few discs, as the strip has it
    if (f.periodic) f.twist_disc = std::round(discs * shape.stagger / period) * period / discs;
    double turned = period;
    if (f.periodic && f.twist_disc > 0) {  // turned by the stagger it is itself, moved on by one disc
      turned = f.twist_disc;
      f.intervals = std::max(1, static_cast<int>(std::lround(setting_.turns * turned / period)));
      f.shift = grid.rows_per_disc;
    }
    f.duration = turned / (2 * pi) / f.intervals;
  }

  bool conveying() const { return field_.rows_per_disc == 0; }
  int rows_alike() const { return conveying() ? 1 : field_.rows_per_disc; }
  int samples() const { return conveying() ? row_samples : 1; }
  /// Profile angle of screw 1 at bore angle 0 in one of the row's samples. @param turn of the screws [rad]
  double base(int k, int sample, double turn) const {
    if (conveying()) return (k + (sample + 0.5) / row_samples) * field_.twist_row - turn;
    const int disc = k / field_.rows_per_disc;
    return disc * field_.twist_disc - turn;
  }
  double screw(int which) const { return which == 1 ? pi / field_.starts : 0; }

  /// Of free section between two bore angles, mean over the row, times its length.
  double sector(int which, double from, double to, int k, double turn) const {
    double sum = 0;
    for (int s = 0; s < samples(); ++s) {
      const double b = base(k, s, turn) + screw(which);
      sum += sector_(to + b) - sector_(from + b);
    }
    return sum * field_.row / samples();
  }
  /// Volume that turning carries past a bore angle in the interval, per time.
  double swept(int which, double angle, int k, const std::array<double, 2>& turn) const {
    double sum = 0;
    for (int s = 0; s < samples(); ++s)
      sum += sector_(angle + base(k, s, turn[0]) + screw(which)) - sector_(angle + base(k, s, turn[1]) + screw(which));
    return sum * field_.row / samples() / field_.duration;
  }

  void fill(int n) {
    const double step = 2 * pi * field_.duration;
    const std::array<double, 2> turn{n * step, (n + 1) * step};
    for (int k = 0; k < field_.rows; k += rows_alike()) {
      fill_lobe_volumes(n, k, turn);
      fill_nip_volumes(n, k, turn);
      for (int other = k + 1; other < k + rows_alike(); ++other) repeat_row(n, k, other);
    }
    fill_fluxes(n, (turn[0] + turn[1]) / 2);
  }

  TrackCell& cell(int n, int k, int c) { return field_.cells[field_.place(n, k, c)]; }
  std::size_t nip_place(int n, int k, int i) const { return field_.nip_place(n, k, 2 * field_.lobe_cells + i); }

  void repeat_row(int n, int from, int to) {
    for (int c = 0; c < field_.row_cells(); ++c) cell(n, to, c) = cell(n, from, c);
    for (int i = 0; i < field_.nip_cells; ++i) {
      field_.nip_rate[nip_place(n, to, i)] = field_.nip_rate[nip_place(n, from, i)];
      field_.nip_walls[nip_place(n, to, i)] = field_.nip_walls[nip_place(n, from, i)];
    }
  }

  void fill_lobe_volumes(int n, int k, const std::array<double, 2>& turn) {
    for (int c = 0; c < 2 * field_.lobe_cells; ++c) {
      const int which = c / field_.lobe_cells;
      const double a = field_.bore_angle(c, 0), b = field_.bore_angle(c, 1);
      TrackCell& it = cell(n, k, c);
      for (const std::size_t end : {0, 1}) it.volume[end] = sector(which, a, b, k, turn[end]);
      it.swept[0] = swept(which, a, k, turn), it.swept[1] = swept(which, b, k, turn);
    }
  }

  /// How the nip's volume is spread over its cells, and what the sliding screws do at one rotation.
  struct NipShares {
    std::vector<double> volume, rate;  // by cell; rate is ωC/g
    std::vector<double> up, down;  // carried past the faces between cells, the ends included
  };
  NipShares nip_shares(int k, double turn) const {
    const auto cells = at(field_.nip_cells);
    NipShares shares{std::vector<double>(cells), std::vector<double>(cells), std::vector<double>(cells + 1),
                     std::vector<double>(cells + 1)};
    double total = 0;
    for (int s = 0; s < samples(); ++s) {
      const NipGap gap = nip_.at(-base(k, s, turn));
      for (std::size_t q = 0; q < gap.gap.size(); ++q) {
        const std::size_t i = (q + nip_samples / 2) / nip_samples;
        const double open = std::max(gap.passage[q], 1e-9);
        shares.volume[i] += open, shares.rate[i] += open * nip_.speed() / gap.gap[q], total += open;
      }
      for (std::size_t i = 0; i <= cells; ++i) {
        // the height just above the face; at the upper end the last one
        const std::size_t q = i == 0 ? 0 : std::min(i * nip_samples - nip_samples / 2, gap.gap.size() - 1);
        const double g = gap.gap[q], carried = g * field_.row / samples();
        const double both = nip_.speed() - 2 * pi * g, difference = 2 * gap.drag[q];  // of the walls' speeds, over C
        shares.up[i] += carried * (both + difference / centre_) / 2;
        shares.down[i] += carried * (both - difference / centre_) / 2;
      }
    }
    for (std::size_t i = 0; i < cells; ++i) shares.rate[i] /= shares.volume[i], shares.volume[i] /= total;
    return shares;
  }

  void fill_nip_volumes(int n, int k, const std::array<double, 2>& turn) {
    const double psi = field_.cusp_angle, Rb = profile_.Rb;
    const int first = 2 * field_.lobe_cells, lobe = field_.lobe_cells;
    for (const std::size_t end : {0, 1}) {
      const NipShares shares = nip_shares(k, turn[end]);
      // the rhombus between axes and cusps less both screws' sectors
      const double bores = 2 * Rb * Rb * (std::sin(psi) * std::cos(psi) - psi) * field_.row;
      const double total = bores + sector(0, -psi, psi, k, turn[end]) + sector(1, -psi, psi, k, turn[end]);
      for (int i = 0; i < field_.nip_cells; ++i) {
        cell(n, k, first + i).volume[end] = total * shares.volume[at(i)];
        field_.nip_rate[nip_place(n, k, i)] += shares.rate[at(i)] / 2;
        NipWalls& walls = field_.nip_walls[nip_place(n, k, i)];
        for (const std::size_t face : {0, 1}) {
          walls.up[face] += shares.up[at(i) + face] / 2;
          walls.down[face] += shares.down[at(i) + face] / 2;
        }
      }
    }
    // nothing is stored at a cusp: what turning carries out of one lobe it carries into the other or the nip
    double enters = cell(n, k, lobe - 1).swept[1] - cell(n, k, lobe).swept[0];
    for (int i = 0; i < field_.nip_cells; ++i) {
      TrackCell& it = cell(n, k, first + i);
      it.swept[0] = enters;
      enters -= (it.volume[1] - it.volume[0]) / field_.duration;
      it.swept[1] = enters;
    }
  }

  struct Solution {
    StripField field;
    std::vector<double> p;
    double gradient;
  };

  Solution solve(double turn) const {
    Solution s{fields_.at(turn), {}, 0};
    const StripFlow flow = strip_flow(s.field);
    s.gradient = (flow.throughput - setting_.throughput) / flow.passage;
    s.p = flow.p_turn;
    for (std::size_t i = 0; i < s.p.size(); ++i) s.p[i] += s.gradient * flow.p_gradient[i];
    return s;
  }

  /// Through the face behind row k of a column; k = -1 is the plane before the block.
  double axial(const Solution& s, int column, int k) const {
    const int rows = field_.rows;
    const auto here = [&](int row) { return at(column * rows + (row + rows) % rows); };
    if (!field_.periodic && k < 0) return -s.field.before[here(0)] * s.p[here(0)];
    if (!field_.periodic && k == rows - 1) return s.field.after[here(k)] * (s.p[here(k)] - s.gradient * s.field.length);
    return s.field.along[here(k)] * (s.p[here(k)] - s.p[here(k + 1)] - (field_.periodic ? s.gradient * field_.row : 0));
  }

  void fill_fluxes(int n, double turn) {
    const Solution s = solve(turn);
    const auto ends = s.field.topology.link_ends();
    const int rows = field_.rows, counts[] = {field_.lobe_cells, field_.lobe_cells, field_.nip_cells};
    for (int k = 0; k < rows; ++k)
      for (int strand = 0, first = 0, link = 0; strand < 3; first += counts[strand], link += counts[strand++] - 1)
        for (int i = 0; i + 1 < counts[strand]; ++i) {
          const StripTopology::Ends e = ends[at(link + i)];
          const auto l = at((link + i) * rows + k);
          const double q =
              -s.field.conductance[l] * (s.p[at(e.to * rows + k)] - s.p[at(e.from * rows + k)]) - s.field.drag[l];
          cell(n, k, first + i).flux[1] = cell(n, k, first + i + 1).flux[0] = q;
          if (i == 0) continue;
          cell(n, k, first + i).axial[0] = axial(s, e.from, k - 1);
          cell(n, k, first + i).axial[1] = axial(s, e.from, k);
        }
    fill_cusps(n, s);
  }

  /// Cells of column 0 (upper cusp) and 1 (lower).
  std::array<int, 3> cusp_cells(int column) const {
    const int lobe = field_.lobe_cells, nip = 2 * lobe, top = field_.row_cells() - 1;
    return column == 0 ? std::array{0, nip - 1, top} : std::array{lobe - 1, lobe, nip};
  }

  /// The flow along the axis at a cusp, shared among its three half cells by h³ times their width; what passes between
  /// them and the cusp follows from their balance.
  void fill_cusps(int n, const Solution& s) {
    const int rows = field_.rows;
    for (const int column : {0, 1})
      for (int k = 0; k < rows; ++k) {
        const std::array<int, 3> three = cusp_cells(column);
        for (const int side : {0, 1}) {
          const std::array<double, 3> share = cusp_shares(n, three, k + side - 1);
          const double all = axial(s, column, k + side - 1);
          for (const std::size_t j : {0, 1, 2}) cell(n, k, three[j]).axial[side] = share[j] * all;
        }
        for (const int c : three) {
          TrackCell& it = cell(n, k, c);
          const bool starts = c == 0 || c == field_.lobe_cells || c == 2 * field_.lobe_cells;
          const double leaves = it.axial[1] - it.axial[0];
          if (starts) it.flux[0] = it.flux[1] + leaves;
          else it.flux[1] = it.flux[0] - leaves;
        }
      }
  }

  std::array<double, 3> cusp_shares(int n, const std::array<int, 3>& three, int k) {
    const int rows = field_.rows;
    const int before = field_.periodic ? (k + rows) % rows : std::max(k, 0);
    const int after = field_.periodic ? (k + 1) % rows : std::min(k + 1, rows - 1);
    std::array<double, 3> share{};
    double sum = 0;
    for (const std::size_t j : {0, 1, 2}) {
      const double width = field_.cell_width(three[j]);
      const auto resistance = [&](int row) {
        const TrackCell& it = cell(n, row, three[j]);
        return std::pow((it.volume[0] + it.volume[1]) / width, -3) / width;
      };
      share[j] = 1 / (resistance(before) + resistance(after)), sum += share[j];
    }
    for (double& x : share) x /= sum;
    return share;
  }

  TrackSetting setting_;
  Profile profile_;
  double worn_radius_, centre_;
  FreeSector sector_;
  NipStrip nip_;
  StripFields fields_;
  TrackField field_{};
};

}  // namespace

TrackField track_field(const ElementShape& shape, const StripGrid& grid, const TrackSetting& setting) {
  return Builder(shape, grid, setting).build();
}

}  // namespace quern
