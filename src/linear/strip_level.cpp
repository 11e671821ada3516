#include "linear/strip_level.hpp"

#include <algorithm>

namespace quern::strip {
namespace {

StripTopology coarser(const StripTopology& fine, Rows rows) {
  StripTopology t = fine;
  if (rows == Rows::halved) t.rows = (fine.rows + 1) / 2;
  for (StripStrand& s : t.strands) s.columns = s.columns / 2;  // links + 1, halved, less one
  return t;
}

/// The columns of a strand in order, its two junctions included.
std::vector<int> columns_of(const StripStrand& s, int first) {
  std::vector<int> columns{s.from};
  for (int i = 0; i < s.columns; ++i) columns.push_back(first + i);
  columns.push_back(s.to);
  return columns;
}

}  // namespace

StripLevel::StripLevel(const StripTopology& fine, Rows rows_, bool nine)
    : rows(rows_),
      topology(fine),
      coarse_topology(coarser(fine, rows_)),
      cells(fine.columns(), fine.rows),
      links(fine.links(), fine.rows),
      coarse_cells(coarse_topology.columns(), coarse_topology.rows),
      coarse_link_cells(coarse_topology.links(), coarse_topology.rows),
      coarse_columns(coarse_topology.columns(), coarse_topology.rows),
      coarse_links(coarse_topology.links(), coarse_topology.rows),
      stencil_of_nine(nine),
      sides(static_cast<std::size_t>(fine.columns())),
      coarse_ends(coarse_topology.link_ends()),
      even(sides.size()),
      two_coloured(sides.size(), !odd_ring()) {
  for (int j = 0; j < fine.junctions; ++j) kept.push_back(j);
  int first = fine.junctions, link = 0;
  for (const StripStrand& s : fine.strands) {
    const std::vector<int> c = columns_of(s, first);
    const int ends = static_cast<int>(c.size()) - 1;
    for (int i = 0; i < ends; ++i) {
      const auto at = static_cast<std::size_t>(i);
      sides[static_cast<std::size_t>(c[at])].push_back({c[at + 1], link + i, true});
      sides[static_cast<std::size_t>(c[at + 1])].push_back({c[at], link + i, false});
    }
    for (int i = 0; i < ends; i += 2) {
      const auto at = static_cast<std::size_t>(i);
      if (i > 0) kept.push_back(c[at]);
      if (i + 1 == ends) intervals.push_back({c[at], c[at + 1], -1, link + i, link + i});
      else intervals.push_back({c[at], c[at + 2], c[at + 1], link + i, link + i + 1});
    }
    first += s.columns, link += ends;
  }
  for (const int c : kept) even[static_cast<std::size_t>(c)] = 1;
  for (const Interval& i : intervals)
    if (i.middle < 0)
      two_coloured[static_cast<std::size_t>(i.left)] = two_coloured[static_cast<std::size_t>(i.right)] = 0;
}

void narrow(const std::vector<double>& from, std::vector<float>& to, std::size_t at, std::size_t count) {
  const double* const source = from.data() + at;
  float* const target = to.data() + at;
  for (std::size_t i = 0; i < count; ++i) target[i] = static_cast<float>(source[i]);
}

void complete(const StripLevel& level, StripOperator<double>& a, StripOperator<float>& narrowed) {
  const SplitLayout& at = level.cells;
  const bool periodic = level.topology.periodic, nine = level.stencil_of_nine;
  for (int l = 0; l < level.topology.links(); ++l)
    for (std::vector<double>* v : {&a.across, &a.rising, &a.falling})
      if (!v->empty()) close(level.links, periodic, v->data(), l);
  narrow(a.across, narrowed.across, 0, a.across.size());
  narrow(a.rising, narrowed.rising, 0, a.rising.size());
  narrow(a.falling, narrowed.falling, 0, a.falling.size());
  for (int c = 0; c < at.columns(); ++c) {
    close(at, periodic, a.along.data(), c);
    for (int h = 0; h < 2; ++h) {
      const std::size_t here = at.at(c, h);
      const std::ptrdiff_t down = at.down(h);
      const double *along = &a.along[here], *ground = &a.ground[here];
      double *diagonal = &a.diagonal[here], *inverse = &a.inverse[here];
      const int n = at.count(h);
      for (int k = 0; k < n; ++k) diagonal[k] = ground[k] + along[k] + along[k + down];
      for (const Side& s : level.sides[static_cast<std::size_t>(c)]) {
        const std::size_t link = at.at(s.link, h);
        const double* across = &a.across[link];
        for (int k = 0; k < n; ++k) diagonal[k] += across[k];
        if (!nine) continue;
        const double* higher = s.from ? &a.rising[link] : &a.falling[link];
        const double* lower = s.from ? &a.falling[link] : &a.rising[link];
        for (int k = 0; k < n; ++k) diagonal[k] += higher[k] + lower[k + down];
      }
      for (int k = 0; k < n; ++k) inverse[k] = inverse_or_zero(diagonal[k]);
    }
    const std::size_t from = at.at(c, 0), count = at.at(c + 1, 0) - at.at(c, 0);
    narrow(a.along, narrowed.along, from, count);
    narrow(a.diagonal, narrowed.diagonal, from, count);
    narrow(a.inverse, narrowed.inverse, from, count);
  }
}

}  // namespace quern::strip
