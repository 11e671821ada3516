#include "flow/shear_rates.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>

#include "flow/element_example.hpp"
#include "flow/lobe.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double h = 0.02, Rb = 0.5005, U = 2 * pi * Rb;

StripField plates() { return ring_example(Lobe(round_example(h), true, false), Rb, 1, 2, 48, 16); }
ShearRates rates_at(double G) {
  const StripField f = plates();
  RateSample sample;
  sample.add(f, strip_flow(f), G);
  return sample.rates();
}

}  // namespace

TEST_CASE("shear rates: drag between plates shears at U/h everywhere") {
  const ShearRates r = rates_at(0);
  for (const double rate : {r.mean, r.p10, r.median, r.p90, r.p99}) CHECK(rate == Approx(U / h).epsilon(1e-9));
}

// Rates √((U/h)² + (G y)²), y from the middle: drag round the bore, pressure along it.
TEST_CASE("shear rates: drag and pressure across each other, mean and percentiles in closed form") {
  for (const double G : {1e3, 1e4, 1e5, -1e5}) {
    CAPTURE(G);
    const double a = U / h, b = std::abs(G) * h / 2, root = std::hypot(a, b);
    const double mean = (root + a * a / b * std::asinh(b / a)) / 2;  // (1/b) ∫ √(a² + t²) dt
    const ShearRates r = rates_at(G);
    CHECK(r.mean == Approx(mean).epsilon(3e-3));
    // eight depths: a percentile is that of one of four pairs
    CHECK(r.median == Approx(std::hypot(a, b / 2)).epsilon(0.06));
    CHECK(r.p10 <= r.median);
    CHECK(r.median <= r.p90);
    CHECK(r.p90 <= r.p99);
    CHECK(r.p99 <= root);
    CHECK(r.p10 >= a);
  }
}

TEST_CASE("shear rates: none without a snapshot") { CHECK(RateSample{}.rates() == ShearRates{}); }

// Volume means, flat nip: independent reference implementation of our own. Cells where a tip begins make the mean of a
// coarse grid read high.
TEST_CASE("shear rates: conveying t = 1 D and staircases, means of the reference within 6 %") {
  struct Row {
    ElementShape shape;
    double open, closed;
  };
  for (const Row& row : {Row{conveying_example(1), 31.0, 46.9}, Row{kneading_example(45), 32.7, 34.3},
                         Row{kneading_example(90), 30.8, 30.8}}) {
    const StripGrid grid{.across = 96, .nip = 24, .rows_per_disc = 6, .rows = 24};
    const StripFields fields(row.shape, grid, flat, Run::endless);
    const MeanFlow mean = mean_flow(row.shape, grid, flat, Run::endless, 2);
    RateSample open, closed;
    for (const double turn : turns_of(row.shape, Run::endless, 2)) {
      const StripField f = fields.at(turn);
      const StripFlow flow = strip_flow(f);
      open.add(f, flow, 0), closed.add(f, flow, mean.A1 / mean.B);
    }
    CHECK(open.rates().mean == Approx(row.open).epsilon(0.07));
    CHECK(closed.rates().mean == Approx(row.closed).epsilon(0.06));
  }
}
