#include "flow/strip_equations.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <numeric>
#include <random>

#include "flow/element_example.hpp"

using doctest::Approx;
using namespace quern;

namespace {

StripField some_field(Run run, const StripModel& model = {}) {
  return StripFields(kneading_example(45), {.across = 32, .nip = 16, .rows_per_disc = 4}, model, run).at(0.3);
}
std::vector<double> random_pressure(const StripField& f) {
  std::mt19937 random(3);
  std::normal_distribution<double> normal;
  std::vector<double> p(static_cast<std::size_t>(f.topology.unknowns()));
  for (double& x : p) x = normal(random);
  return p;
}
double sum(const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); }
double sum_of_sizes(const std::vector<double>& v) {
  return std::accumulate(v.begin(), v.end(), 0.0, [](double s, double x) { return s + std::abs(x); });
}

}  // namespace

TEST_CASE("strip equations: turning drives nothing into the strip as a whole, nor does a gradient in an endless run") {
  for (const auto join : {StripModel::Join::plain, StripModel::Join::sealed, StripModel::Join::nip})
    for (const Run run : {Run::endless, Run::block}) {
      const StripField f = some_field(run, joined({}, join));
      CHECK(std::abs(sum(drag_source(f))) < 1e-12 * sum_of_sizes(drag_source(f)));
      if (run == Run::endless) CHECK(std::abs(sum(gradient_source(f))) < 1e-12 * sum_of_sizes(gradient_source(f)));
    }
}

TEST_CASE("strip equations: what pressure drives out of all cells leaves through the planes at a block's ends") {
  const StripField f = some_field(Run::block);
  const std::vector<double> p = random_pressure(f), flows = axial_flows(f, p, 0);
  REQUIRE(flows.size() == static_cast<std::size_t>(f.topology.rows + 1));
  CHECK(sum(outflow(strip_system(f), p)) == Approx(flows.back() - flows.front()).epsilon(1e-9));
}

TEST_CASE("strip equations: only the first row meets the plane before a block, only the last the one behind") {
  const StripField f = some_field(Run::block), endless = some_field(Run::endless);
  CHECK(sum_of_sizes(endless.before) + sum_of_sizes(endless.after) == 0);
  for (int c = 0; c < f.topology.columns(); ++c)
    for (int k = 0; k < f.topology.rows; ++k) {
      const std::size_t i = strip_index(c * f.topology.rows + k);
      CHECK((f.before[i] > 0) <= (k == 0));
      CHECK((f.after[i] > 0) <= (k == f.topology.rows - 1));
    }
  CHECK(sum(f.before) > 0);
  CHECK(sum(f.after) > 0);
}

// Σ p (A p) of any network is Σ G (Δp)².
TEST_CASE("strip equations: what pressure dissipates is the work it does on what flows out") {
  for (const Run run : {Run::endless, Run::block}) {
    const StripField f = some_field(run);
    const std::vector<double> p = random_pressure(f), out = outflow(strip_system(f), p);
    const double work = std::inner_product(p.begin(), p.end(), out.begin(), 0.0);
    CHECK(pressure_dissipation(f, p, 0) == Approx(work).epsilon(1e-12));
  }
}

TEST_CASE("strip equations: a uniform gradient is a pressure that rises along the axis") {
  const StripField f = some_field(Run::block);
  constexpr double G = 3;
  std::vector<double> rising(static_cast<std::size_t>(f.topology.unknowns()));
  for (std::size_t i = 0; i < rising.size(); ++i)
    rising[i] = G * f.row * (static_cast<double>(i % strip_index(f.topology.rows)) + 0.5);
  StripField closed = some_field(Run::endless);  // the same rise as a mean gradient beside no pressure of its own
  const std::vector<double> none(strip_index(closed.topology.unknowns()));
  const std::vector<double> open_flows = axial_flows(f, rising, G), flows = axial_flows(closed, none, G);
  CHECK(open_flows[1] == Approx(flows[0]).epsilon(1e-12));  // one disc's inner faces are alike in both
  CHECK(open_flows[5] == Approx(flows[4]).epsilon(1e-12));
  CHECK(flows[0] < 0);
}

TEST_CASE("strip equations: reciprocity of the sources, what drag drives a gradient resists") {
  const StripField f = some_field(Run::endless);
  const std::vector<double> p = random_pressure(f), drag = drag_source(f), gradient = gradient_source(f);
  double power = 0;
  over_links(f, [&](std::size_t i, std::size_t from, std::size_t to, int) { power -= f.drag[i] * (p[to] - p[from]); });
  CHECK(std::inner_product(p.begin(), p.end(), drag.begin(), 0.0) == Approx(power).epsilon(1e-12));
  // Σ p gradient = -L (mean axial flow of p)
  const double flow = axial_flow(f, p, 0) * f.length;
  CHECK(std::inner_product(p.begin(), p.end(), gradient.begin(), 0.0) == Approx(flow).epsilon(1e-9));
}
