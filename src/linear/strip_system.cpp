#include "linear/strip_system.hpp"

#include <algorithm>
#include <cassert>
#include <numeric>

namespace quern {
namespace {

std::size_t size(int n) { return static_cast<std::size_t>(n); }

void exchange(double conductance, double p_a, double p_b, double& a, double& b) {
  const double flow = conductance * (p_a - p_b);
  a += flow, b -= flow;
}

}  // namespace

int StripTopology::columns() const {
  return std::accumulate(strands.begin(), strands.end(), junctions,
                         [](int n, const StripStrand& s) { return n + s.columns; });
}

int StripTopology::links() const {
  return std::accumulate(strands.begin(), strands.end(), 0,
                         [](int n, const StripStrand& s) { return n + s.columns + 1; });
}

std::vector<StripTopology::Ends> StripTopology::link_ends() const {
  std::vector<Ends> ends;
  int first = junctions;
  for (const StripStrand& s : strands) {
    for (int i = 0; i <= s.columns; ++i)
      ends.push_back({i == 0 ? s.from : first + i - 1, i == s.columns ? s.to : first + i});
    first += s.columns;
  }
  return ends;
}

bool operator==(const StripTopology& a, const StripTopology& b) {
  const auto same = [](const StripStrand& s, const StripStrand& t) {
    return s.from == t.from && s.to == t.to && s.columns == t.columns;
  };
  return a.rows == b.rows && a.periodic == b.periodic && a.junctions == b.junctions &&
         std::equal(a.strands.begin(), a.strands.end(), b.strands.begin(), b.strands.end(), same);
}

std::vector<double> outflow(const StripSystem& system, std::span<const double> p) {
  const StripTopology& t = system.topology;
  assert(p.size() == size(t.unknowns()));
  std::vector<double> b(p.size());
  for (std::size_t i = 0; i < p.size(); ++i) b[i] = system.ground[i] * p[i];
  const std::vector<StripTopology::Ends> ends = t.link_ends();
  const std::size_t rows = size(t.rows);
  for (std::size_t l = 0; l < ends.size(); ++l)
    for (std::size_t k = 0; k < rows; ++k) {
      const std::size_t from = size(ends[l].from) * rows + k, to = size(ends[l].to) * rows + k;
      exchange(system.link[l * rows + k], p[from], p[to], b[from], b[to]);
    }
  for (std::size_t c = 0; c < size(t.columns()); ++c)
    for (std::size_t k = 0; k < rows; ++k) {
      const std::size_t here = c * rows + k, next = c * rows + (k + 1) % rows;
      exchange(system.along[here], p[here], p[next], b[here], b[next]);
    }
  return b;
}

}  // namespace quern
