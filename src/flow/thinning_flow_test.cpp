#include "flow/thinning_flow.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <boost/math/tools/roots.hpp>
#include <cmath>
#include <doctest/doctest.h>

#include "flow/element_example.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr StripGrid coarse{.across = 48, .nip = 16, .rows_per_disc = 4, .rows = 16};

ThinningLaw power_law(double n) { return {.eta0 = 1, .lambda = 1, .n = n, .plateau = false, .least_rate = 1e-4}; }

/// Between plates h apart, one sliding with U along x, G along z; τ = γ̇ⁿ. τx is constant, τz = G (y - h/2).
struct PlaneDrive {
  double h, U, G, n;

  template <class F>
  double over_depth(const F& f) const {
    return 2 * boost::math::quadrature::gauss_kronrod<double, 61>::integrate(f, 0.0, h / 2, 15, 1e-12);
  }
  double fluidity(double tx, double from_middle) const { return std::pow(std::hypot(tx, G * from_middle), 1 / n - 1); }
  double tx() const {
    const auto slip = [&](double t) { return over_depth([&](double y) { return t * fluidity(t, y); }) - U; };
    std::uintmax_t steps = 200;
    const auto found = boost::math::tools::bracket_and_solve_root(slip, std::pow(U / h, n), 2.0, true,
                                                                  boost::math::tools::eps_tolerance<double>(45), steps);
    return (found.first + found.second) / 2;
  }
  /// Flow along z per width: -∫ u_z dy by parts.
  double flow() const {
    const double t = tx();
    return -over_depth([&](double y) { return G * y * y * fluidity(t, y); });
  }
};

}  // namespace

TEST_CASE("thinning strip: a Newtonian law gives the Newtonian strip's throughput, gradient and power") {
  for (const ElementShape& shape : {conveying_example(1), kneading_example(45)}) {
    ThinningStrip strip(shape, coarse, {}, 2);
    const MeanFlow newton = mean_flow(shape, coarse, {}, Run::endless, 2);
    const ThinningFlow open = strip.solve(power_law(1), {0, false}), closed = strip.solve(power_law(1), {0, true});
    CHECK(open.converged);
    CHECK(open.throughput == Approx(newton.A1).epsilon(1e-5));
    CHECK(open.power == Approx(newton.c).epsilon(1e-5));
    CHECK(closed.gradient == Approx(newton.A1 / newton.B).epsilon(1e-5));
    CHECK(closed.power == Approx(newton.c + newton.A1 * newton.A1 / newton.B).epsilon(1e-5));
  }
}

// Round shafts in a bore without a nip: plates, closed form but for one quadrature.
TEST_CASE("thinning strip: between plates drag and pressure thin each other as they should") {
  constexpr double h = 0.02, Rb = 0.5005, U = 2 * pi * Rb;
  const ElementShape shape = round_example(h);
  StripModel model = joined(flat, StripModel::Join::plain);
  const double width = 2 * (2 * pi - 2 * std::acos(shape.centre / shape.bore)) * Rb;
  for (const double n : {0.8, 0.5, 0.3}) {
    ThinningStrip strip(shape, {.across = 16, .nip = 16, .rows = 8}, model, 1);
    const ThinningFlow still = strip.solve(power_law(n), {0, false});
    CHECK(still.power == Approx(width * std::pow(U, n + 1) / std::pow(h, n)).epsilon(1e-4));
    for (const double share : {0.1, 1.0, 10.0}) {  // of the stress that drag alone makes
      CAPTURE(n);
      CAPTURE(share);
      const PlaneDrive exact{h, U, share * std::pow(U / h, n) * 2 / h, n};
      const ThinningFlow flow = strip.solve(power_law(n), {exact.G, false}, 1e-7);
      CHECK(flow.converged);
      CHECK(flow.throughput / width == Approx(exact.flow()).epsilon(2e-3));
      // shaft power: the stress that slides the wall; a small difference of large parts where pressure dissipates more
      CHECK(flow.power == Approx(width * exact.tx() * U).epsilon(share > 1 ? 0.015 : 0.003));
    }
  }
}

TEST_CASE("thinning strip: a throughput asked for is carried, at the gradient that carries it") {
  ThinningStrip strip(kneading_example(45), coarse, {}, 2);
  const ThinningFlow asked = strip.solve(power_law(0.5), {0.1, true}, 1e-6);
  CHECK(asked.converged);
  CHECK(asked.throughput == 0.1);
  const ThinningFlow pushed = strip.solve(power_law(0.5), {asked.gradient, false}, 1e-6);
  CHECK(pushed.throughput == Approx(0.1).epsilon(1e-4));
  CHECK(pushed.power == Approx(asked.power).epsilon(1e-4));
}

// A power law has no rate of its own: K γ̇ⁿ with K twice as large doubles gradient and power, throughput stays.
TEST_CASE("thinning strip: consistency scales stresses and leaves flow alone") {
  ThinningStrip strip(conveying_example(1), coarse, {}, 1);
  ThinningLaw doubled = power_law(0.4);
  doubled.eta0 = 2;
  const ThinningFlow one = strip.solve(power_law(0.4), {0, true}, 1e-7), two = strip.solve(doubled, {0, true}, 1e-7);
  CHECK(two.gradient == Approx(2 * one.gradient).epsilon(1e-5));
  CHECK(two.power == Approx(2 * one.power).epsilon(1e-5));
}

TEST_CASE("thinning strip: discs the other way convey backwards as much, neutral ones nothing") {
  ThinningStrip forward(kneading_example(45), coarse, {}, 2), back(kneading_example(135), coarse, {}, 2),
      neutral(kneading_example(90), coarse, {}, 2);
  const ThinningFlow a = forward.solve(power_law(0.4), {0, false}, 1e-6),
                     b = back.solve(power_law(0.4), {0, false}, 1e-6),
                     c = neutral.solve(power_law(0.4), {0, false}, 1e-6);
  CHECK(a.throughput > 0.15);
  CHECK(b.throughput == Approx(-a.throughput).epsilon(1e-4));
  CHECK(b.power == Approx(a.power).epsilon(1e-4));
  CHECK(std::abs(c.throughput) < 1e-4);
}

TEST_CASE("thinning strip: thinner liquids convey less without pressure and thin more where tips shear") {
  ThinningStrip strip(kneading_example(45), coarse, {}, 2);
  ThinningFlow before = strip.solve(power_law(1), {0, false});
  for (const double n : {0.8, 0.6, 0.4}) {
    const ThinningFlow now = strip.solve(power_law(n), {0, false});
    CHECK(now.throughput < before.throughput);
    CHECK(now.tip_power / now.power < before.tip_power / before.power);
    before = now;
  }
}

TEST_CASE("thinning strip: asked for what no iteration reaches, it says that it has not settled") {
  ThinningStrip strip(conveying_example(1), coarse, {}, 1);
  const ThinningFlow flow = strip.solve(power_law(0.3), {0, true}, 0);
  CHECK_FALSE(flow.converged);
  CHECK(flow.passes > 20);
  CHECK(strip.solve(power_law(0.3), {0, true}, 1e-6).converged);  // and goes on from there
}

TEST_CASE("thinning strip: without power the flow is the same") {
  ThinningStrip with(conveying_example(1), coarse, {}, 1), without(conveying_example(1), coarse, {}, 1);
  const ThinningFlow a = with.solve(power_law(0.5), {0.1, true}),
                     b = without.solve(power_law(0.5), {0.1, true}, 1e-5, false);
  CHECK(a.gradient == b.gradient);
  CHECK(a.power > 0);
  CHECK(b.power == 0);
}

TEST_CASE("turns: one for a flight, even over what the stagger leaves of half a period, over it all for a block") {
  CHECK(turns_of(conveying_example(1), Run::endless, 12).size() == 1);
  const auto span = [](double stagger, Run run) {
    const auto turns = turns_of(kneading_example(stagger), run, 10);
    CHECK(turns.size() == 10);
    CHECK(std::ranges::is_sorted(turns));
    return (turns[1] - turns[0]) * 10 * 180 / pi;
  };
  CHECK(span(45, Run::endless) == Approx(45));
  CHECK(span(90, Run::endless) == Approx(90));
  CHECK(span(60, Run::endless) == Approx(30));
  CHECK(span(30, Run::endless) == Approx(30));
  CHECK(span(45, Run::block) == Approx(90));
}
