#include "linear/strip_galerkin.hpp"

#include <algorithm>

namespace quern::strip {
namespace {

/// Corners of a box: a and b are its left and right coarse cells below, c and d those above.
enum Part { ab, cd, ac, bd, ad, bc, to_a, to_b, to_c, to_d, parts };

/// What a fine cell takes from the corners.
struct Share {
  double a, b, c, d;
};

/// Coarse conductances, and grounds where the weights of a fine cell do not sum to one.
struct Sum {
  double v[parts] = {};

  void joint(double g, const Share& p, const Share& q) { add(g, {p.a - q.a, p.b - q.b, p.c - q.c, p.d - q.d}); }
  void add(double g, const Share& s) {
    const double a = g * s.a, b = g * s.b, c = g * s.c, d = g * s.d, sum = s.a + s.b + s.c + s.d;
    v[ab] -= a * s.b, v[cd] -= c * s.d, v[ac] -= a * s.c, v[bd] -= b * s.d, v[ad] -= a * s.d, v[bc] -= b * s.c;
    v[to_a] += a * sum, v[to_b] += b * sum, v[to_c] += c * sum, v[to_d] += d * sum;
  }
};

/// One link's joints within a box; k counts boxes upwards.
struct Joints {
  const double *across, *across_odd, *rising, *rising_odd, *falling, *falling_odd;

  /// x and y are the cells of its two columns at the box's lower, odd and upper row.
  template <bool nine>
  void add(Sum& sum, int k, const Share (&x)[3], const Share (&y)[3]) const {
    sum.joint(across[k], x[0], y[0]);
    sum.joint(across_odd[k], x[1], y[1]);
    if constexpr (nine) {
      sum.joint(rising[k], x[0], y[1]);
      sum.joint(rising_odd[k], x[1], y[2]);
      sum.joint(falling[k], x[1], y[0]);
      sum.joint(falling_odd[k], x[2], y[1]);
    }
  }
};

Joints joints(const StripLevel& level, const StripOperator<double>& a, int link) {
  const std::size_t even = level.links.at(link, 0), odd = level.links.at(link, 1);
  if (!level.stencil_of_nine) return {&a.across[even], &a.across[odd], nullptr, nullptr, nullptr, nullptr};
  return {&a.across[even], &a.across[odd], &a.rising[even], &a.rising[odd], &a.falling[even], &a.falling[odd]};
}

/// One link's joints from a row to the next, where rows are kept.
struct Row {
  const double *across, *rising, *falling;

  template <bool nine>
  void add(Sum& sum, int k, const Share& x, const Share& x_up, const Share& y, const Share& y_up) const {
    sum.joint(across[k], x, y);
    if constexpr (nine) sum.joint(rising[k], x, y_up), sum.joint(falling[k], x_up, y);
  }
};

Row row(const StripLevel& level, const StripOperator<double>& a, int link, int half) {
  const std::size_t at = level.links.at(link, half);
  if (!level.stencil_of_nine) return {&a.across[at], nullptr, nullptr};
  return {&a.across[at], &a.rising[at], &a.falling[at]};
}

}  // namespace

/// A box's columns and their weights, at the first row.
struct StripGalerkin::Fine {
  Joints left, right;
  const double *below_a, *above_a, *below_b, *above_b;                               // the columns that stay
  const double *l, *r, *ll, *lr, *hl, *hr;                                           // the one between
  const double *along, *along_odd, *ground, *ground_odd;                             // of the one between
};

StripGalerkin::StripGalerkin(const StripLevel& level)
    : level_(level),
      rows_(static_cast<std::size_t>(level.coarse_topology.rows)),
      across_(level.coarse_links.size()),
      rising_(across_.size()),
      falling_(across_.size()),
      along_(level.coarse_columns.size()),
      ground_(along_.size()),
      parts_(parts * rows_),
      boxes_(rows_) {}

void StripGalerkin::coarsen(const StripOperator<double>& a, const StripWeights<double>& w,
                            StripOperator<double>& coarse) {
  for (std::vector<double>* v : {&across_, &rising_, &falling_, &along_, &ground_})
    std::fill(v->begin(), v->end(), 0.0);
  level_.rows == Rows::halved ? halve_rows(a, w) : keep_rows(a, w);
  fold();
  split(coarse);
}

void StripGalerkin::halve_rows(const StripOperator<double>& a, const StripWeights<double>& w) {
  for (std::size_t i = 0; i < level_.intervals.size(); ++i) {
    const Interval& interval = level_.intervals[i];
    const std::size_t from = level_.coarse_columns.at(level_.coarse_ends[i].from),
                      to = level_.coarse_columns.at(level_.coarse_ends[i].to);
    const std::size_t here = level_.coarse_links.at(static_cast<int>(i));
    Fine fine{.left = joints(level_, a, interval.left_link),
              .right = joints(level_, a, interval.right_link),
              .below_a = &w.below[from],
              .above_a = &w.above[from],
              .below_b = &w.below[to],
              .above_b = &w.above[to],
              .l = &w.left[here],
              .r = &w.right[here],
              .ll = &w.low_left[here],
              .lr = &w.low_right[here],
              .hl = &w.high_left[here],
              .hr = &w.high_right[here],
              .along = nullptr,
              .along_odd = nullptr,
              .ground = nullptr,
              .ground_odd = nullptr};
    if (interval.middle < 0) {
      level_.stencil_of_nine ? short_box<true>(fine) : short_box<false>(fine);
    } else {
      const std::size_t even = level_.cells.at(interval.middle, 0), odd = level_.cells.at(interval.middle, 1);
      fine.along = &a.along[even], fine.along_odd = &a.along[odd];
      fine.ground = &a.ground[even], fine.ground_odd = &a.ground[odd];
      level_.stencil_of_nine ? box<true>(fine) : box<false>(fine);
    }
    gather(i);
  }
  for (int c = 0; c < level_.coarse_topology.columns(); ++c) {
    const std::size_t even = level_.cells.at(level_.kept[static_cast<std::size_t>(c)], 0),
                      odd = level_.cells.at(level_.kept[static_cast<std::size_t>(c)], 1),
                      here = level_.coarse_columns.at(c);
    column({.left = {},
            .right = {},
            .below_a = &w.below[here],
            .above_a = &w.above[here],
            .below_b = nullptr,
            .above_b = nullptr,
            .l = nullptr,
            .r = nullptr,
            .ll = nullptr,
            .lr = nullptr,
            .hl = nullptr,
            .hr = nullptr,
            .along = &a.along[even],
            .along_odd = &a.along[odd],
            .ground = &a.ground[even],
            .ground_odd = &a.ground[odd]},
           c);
  }
}

/// Boxes from each row to the next, odd ones apart from even ones.
void StripGalerkin::keep_rows(const StripOperator<double>& a, const StripWeights<double>& w) {
  step_ = 2;
  for (std::size_t i = 0; i < level_.intervals.size(); ++i)
    for (int half = 0; half < 2; ++half) {
      first_ = static_cast<std::size_t>(half), boxes_ = static_cast<std::size_t>(level_.cells.count(half));
      level_.stencil_of_nine ? row_box<true>(a, w, i, half) : row_box<false>(a, w, i, half);
      gather(i);
    }
  row_columns(a);
}

template <bool nine>
void StripGalerkin::row_box(const StripOperator<double>& a, const StripWeights<double>& w, std::size_t interval,
                            int half) {
  const Interval& i = level_.intervals[interval];
  const std::size_t here = level_.coarse_link_cells.at(static_cast<int>(interval), half);
  const std::ptrdiff_t up = level_.cells.up(half);
  const Row left = row(level_, a, i.left_link, half), right = row(level_, a, i.right_link, half);
  const bool between = i.middle >= 0;
  const std::size_t cell = level_.cells.at(between ? i.middle : 0, half);
  const double *l = &w.left[here], *r = &w.right[here], *along = &a.along[cell], *ground = &a.ground[cell];
  const int n = static_cast<int>(boxes_);
  const Share a0{1, 0, 0, 0}, a1{0, 0, 1, 0}, b0{0, 1, 0, 0}, b1{0, 0, 0, 1};
  for (int k = 0; k < n; ++k) {
    const Share m0{l[k], r[k], 0, 0}, m1{0, 0, l[k + up], r[k + up]};
    Sum sum;
    if (between) {
      left.add<nine>(sum, k, a0, a1, m0, m1);
      right.add<nine>(sum, k, m0, m1, b0, b1);
      sum.joint(along[k], m0, m1);
      sum.add(ground[k], m0);
    } else {
      left.add<nine>(sum, k, a0, a1, b0, b1);
    }
    for (std::size_t part = 0; part < parts; ++part) parts_[part * boxes_ + static_cast<std::size_t>(k)] = sum.v[part];
  }
}

void StripGalerkin::row_columns(const StripOperator<double>& a) {
  for (int c = 0; c < level_.coarse_topology.columns(); ++c)
    for (int k = 0; k < level_.topology.rows; ++k) {
      const std::size_t fine = level_.cells.at_row(level_.kept[static_cast<std::size_t>(c)], k);
      const std::size_t here = level_.coarse_columns.at(c) + static_cast<std::size_t>(k);
      along_[here] += a.along[fine], ground_[here] += a.ground[fine];
    }
}

template <bool nine>
void StripGalerkin::box(const Fine& fine) {
  const Fine f = fine;
  const int n = static_cast<int>(rows_);
  double* const out = parts_.data();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) {
    const Share a[3]{{1, 0, 0, 0}, {f.below_a[k], 0, f.above_a[k], 0}, {0, 0, 1, 0}};
    const Share b[3]{{0, 1, 0, 0}, {0, f.below_b[k], 0, f.above_b[k]}, {0, 0, 0, 1}};
    const Share m[3]{{f.l[k], f.r[k], 0, 0}, {f.ll[k], f.lr[k], f.hl[k], f.hr[k]}, {0, 0, f.l[k + 1], f.r[k + 1]}};
    Sum sum;
    f.left.add<nine>(sum, k, a, m);
    f.right.add<nine>(sum, k, m, b);
    sum.joint(f.along[k], m[0], m[1]);
    sum.joint(f.along_odd[k], m[1], m[2]);
    sum.add(f.ground[k], m[0]);
    sum.add(f.ground_odd[k], m[1]);
    for (int i = 0; i < parts; ++i) out[i * n + k] = sum.v[i];
  }
}

template <bool nine>
void StripGalerkin::short_box(const Fine& fine) {
  const Fine f = fine;
  const int n = static_cast<int>(rows_);
  double* const out = parts_.data();
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) {
    const Share a[3]{{1, 0, 0, 0}, {f.below_a[k], 0, f.above_a[k], 0}, {0, 0, 1, 0}};
    const Share b[3]{{0, 1, 0, 0}, {0, f.below_b[k], 0, f.above_b[k]}, {0, 0, 0, 1}};
    Sum sum;
    f.left.add<nine>(sum, k, a, b);
    for (int i = 0; i < parts; ++i) out[i * n + k] = sum.v[i];
  }
}

/// What a column that stays has of its own: the joints along it and its ground.
void StripGalerkin::column(const Fine& fine, int coarse) {
  const Fine f = fine;
  const int n = static_cast<int>(rows_);
  double *const up = &parts_[ac * rows_], *const a = &parts_[to_a * rows_], *const c = &parts_[to_c * rows_];
#pragma GCC ivdep
  for (int k = 0; k < n; ++k) {
    const double below = f.below_a[k], above = f.above_a[k], sum = below + above;
    const double low = f.along[k], high = f.along_odd[k], ground = f.ground_odd[k];
    up[k] = low * (1 - below) * above + high * below * (1 - above) - ground * below * above;
    a[k] = low * (1 - below) * (1 - sum) - high * below * (1 - sum) + ground * below * sum + f.ground[k];
    c[k] = -low * above * (1 - sum) + high * (1 - above) * (1 - sum) + ground * above * sum;
  }
  const std::size_t here = level_.coarse_columns.at(coarse);
  add(along_, here, ac);
  add(ground_, here, to_a);
  add_above(ground_, here, to_c);
}

void StripGalerkin::gather(std::size_t interval) {
  const StripTopology::Ends ends = level_.coarse_ends[interval];
  const std::size_t link = level_.coarse_links.at(static_cast<int>(interval));
  const std::size_t from = level_.coarse_columns.at(ends.from), to = level_.coarse_columns.at(ends.to);
  add(across_, link, ab);
  add_above(across_, link, cd);
  add(rising_, link, ad);
  add(falling_, link, bc);
  add(along_, from, ac);
  add(along_, to, bd);
  add(ground_, from, to_a);
  add(ground_, to, to_b);
  add_above(ground_, from, to_c);
  add_above(ground_, to, to_d);
}

void StripGalerkin::add(std::vector<double>& to, std::size_t at, int what) const {
  const double* part = &parts_[static_cast<std::size_t>(what) * boxes_];
  for (std::size_t k = 0; k < boxes_; ++k) to[at + first_ + step_ * k] += part[k];
}

/// To the row above each; above the last comes the first when periodic, and nothing is there to add when open.
void StripGalerkin::add_above(std::vector<double>& to, std::size_t at, int what) const {
  const double* part = &parts_[static_cast<std::size_t>(what) * boxes_];
  for (std::size_t k = 0; k < boxes_; ++k) {
    const std::size_t above = first_ + step_ * k + 1;
    if (above < rows_) to[at + above] += part[k];
    else if (level_.topology.periodic) to[at] += part[k];
  }
}

/// Where rows or columns have become their own neighbours, joints of a cell with itself go, and those across corners
/// become joints along the direction that is left.
void StripGalerkin::fold() {
  for (std::size_t l = 0; l < level_.coarse_ends.size(); ++l) {
    const std::size_t here = level_.coarse_links.at(static_cast<int>(l));
    if (rows_ == 1) across_[here] += rising_[here] + falling_[here], rising_[here] = falling_[here] = 0;
    if (level_.coarse_ends[l].from != level_.coarse_ends[l].to) continue;
    const std::size_t column = level_.coarse_columns.at(level_.coarse_ends[l].from);
    for (std::size_t k = 0; k < rows_; ++k) {
      along_[column + k] += rising_[here + k] + falling_[here + k];
      across_[here + k] = rising_[here + k] = falling_[here + k] = 0;
    }
  }
  if (rows_ == 1)
    for (int c = 0; c < level_.coarse_topology.columns(); ++c) along_[level_.coarse_columns.at(c)] = 0;
}

/// From plain rows to even and odd ones.
void StripGalerkin::split(StripOperator<double>& coarse) const {
  const SplitLayout& at = level_.coarse_cells;
  const auto deal = [&](const PlainLayout& plain, const std::vector<double>& from, std::vector<double>& to, int n) {
    for (int i = 0; i < n; ++i)
      for (int h = 0; h < 2; ++h) {
        const double* source = &from[plain.at(i)] + h;
        double* target = &to[at.at(i, h)];
        for (std::ptrdiff_t k = 0; k < at.count(h); ++k) target[k] = source[2 * k];
      }
  };
  const int links = level_.coarse_topology.links(), columns = level_.coarse_topology.columns();
  deal(level_.coarse_links, across_, coarse.across, links);
  deal(level_.coarse_links, rising_, coarse.rising, links);
  deal(level_.coarse_links, falling_, coarse.falling, links);
  deal(level_.coarse_columns, along_, coarse.along, columns);
  deal(level_.coarse_columns, ground_, coarse.ground, columns);
}

}  // namespace quern::strip
