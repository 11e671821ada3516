#include "flow/die.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

using doctest::Approx;
using namespace quern;

namespace {

constexpr double Q = 1e-5, land = 20e-3, rho = 750, T = 473.15;

Die strand(double D = 4e-3) { return {.kind = Die::Kind::strand, .diameter = D, .land = land}; }
Die slit() { return {.kind = Die::Kind::slit, .land = land, .width = 100e-3, .height = 2e-3}; }
Die annulus(double kappa) {
  return {.kind = Die::Kind::annulus, .diameter = 20e-3, .land = land, .core = 20e-3 * kappa};
}

DieFlow through(const Die& die, double flow, const Viscosity& eta) { return die_flow(die, flow * rho, rho, eta, 1, T); }

const Viscosity thin = power_law(1e4, 1, 0.4);
const Viscosity carreau = carreau_yasuda(1e4, 0, 1, 2, 0.4);

}  // namespace

TEST_CASE("strand: Hagen and Poiseuille") {
  const DieFlow f = through(strand(), Q, newtonian(1000));
  CHECK(f.pressure == Approx(31.830989e6).epsilon(1e-7));
  CHECK(f.shear_rate == Approx(1591.549).epsilon(1e-6));
}

TEST_CASE("slit: plates of a Newtonian melt") {
  const DieFlow f = through(slit(), Q, newtonian(1000));
  CHECK(f.pressure == Approx(3e6).epsilon(1e-9));
  CHECK(f.shear_rate == Approx(150).epsilon(1e-9));
}

TEST_CASE("annulus: exact Newtonian flow at two core ratios") {
  CHECK(through(annulus(0.8), Q, newtonian(1000)).pressure == Approx(5.300774e6).epsilon(1e-6));
  CHECK(through(annulus(0.5), Q, newtonian(1000)).pressure == Approx(404254.24).epsilon(1e-7));
}

TEST_CASE("strand and slit: power law by integral and in closed form") {
  const DieFlow round = through(strand(), Q, thin), flat = through(slit(), Q, thin);
  CHECK(round.shear_rate == Approx(2188.380).epsilon(1e-6));
  CHECK(round.pressure == Approx(4.335899e6).epsilon(1e-6));
  CHECK(flat.shear_rate == Approx(225.000).epsilon(1e-7));
  CHECK(flat.pressure == Approx(1.745432e6).epsilon(1e-6));
  CHECK(strand_pressure(1e4, 0.4, 2e-3, land, Q) == Approx(round.pressure).epsilon(1e-8));
  CHECK(slit_pressure(1e4, 0.4, 100e-3, 2e-3, land, Q) == Approx(flat.pressure).epsilon(1e-8));
}

TEST_CASE("annulus: Hanks & Larsen (1979), confirmed by quadrature") {
  struct Row {
    double n, kappa, flow;
  };
  for (const Row& r : {Row{0.5, 0.5, 5.837411e-4}, Row{0.5, 0.8, 1.769891e-5}, Row{0.4, 0.5, 4.113844e-3},
                       Row{0.4, 0.8, 7.868580e-5}}) {
    CAPTURE(r.n);
    CAPTURE(r.kappa);
    CHECK(annulus_flow(1e4, r.n, 10e-3, r.kappa, land, 5e6) == Approx(r.flow).epsilon(3e-7));
  }
}

TEST_CASE("annulus: Newtonian limit of the power law") {
  const double k = 0.5, R = 10e-3,
               exact = 3.14159265358979 * std::pow(R, 4) * 5e6 / (8 * 1000 * land) *
                       (1 - std::pow(k, 4) - std::pow(1 - k * k, 2) / std::log(1 / k));
  CHECK(annulus_flow(1000, 1, R, k, land, 5e6) == Approx(exact).epsilon(1e-9));
}

TEST_CASE(
    "annulus: slit with Newtonian curvature stays within 1 % of the exact power law from a third of the diameter") {
  for (const double n : {0.4, 0.6, 0.8})
    for (const double kappa : {0.34, 0.5, 0.7, 0.9}) {
      CAPTURE(n);
      CAPTURE(kappa);
      const double flow = annulus_flow(1e4, n, 10e-3, kappa, land, 5e6);
      CHECK(through(annulus(kappa), flow, power_law(1e4, 1, n)).pressure == Approx(5e6).epsilon(0.01));
    }
}

TEST_CASE("annulus: a narrow gap is a slit on the mean circumference, without a jump where one form hands over") {
  const auto scaled = [](double kappa) {
    return through(annulus(kappa), 1e-9, newtonian(1000)).pressure * std::pow(1 - kappa, 3) * (1 + kappa);
  };
  CHECK(scaled(0.98999) == Approx(scaled(0.99001)).epsilon(1e-5));
  CHECK(scaled(0.999999) == Approx(scaled(0.95)).epsilon(1e-3));
}

TEST_CASE("strand: a Carreau melt across four decades of flow") {
  const double rows[][3] = {{1e-9, 0.1595558, 31671.4},
                            {1e-7, 21.745492, 685018.7},
                            {1e-6, 218.816734, 1726074.3},
                            {1e-5, 2188.377858, 4335896.4}};
  for (const auto& [flow, rate, pressure] : rows) {
    CAPTURE(flow);
    const DieFlow f = through(strand(), flow, carreau);
    CHECK(f.shear_rate == Approx(rate).epsilon(1e-6));
    CHECK(f.pressure == Approx(pressure).epsilon(2e-6));
    const double apparent = 4 * flow / (3.14159265358979 * 8e-9);
    CHECK(f.shear_rate / apparent >= 1);
    CHECK(f.shear_rate / apparent <= (3 * 0.4 + 1) / (4 * 0.4) + 1e-9);  // Rabinowitsch, between Newton and power law
  }
}

TEST_CASE("pressure rises with flow, for any law and any opening") {
  for (const Viscosity& eta : {newtonian(1000), thin, carreau, cross(1e4, 2e4, 0.3)})
    for (const Die& die : {strand(), slit(), annulus(0.8)}) {
      double last = 0;
      for (double flow = 1e-12; flow < 1e-2; flow *= 10) {
        const double pressure = through(die, flow, eta).pressure;
        CHECK(std::isfinite(pressure));
        CHECK(pressure > last);
        last = pressure;
      }
    }
}

TEST_CASE("no flow asks for no pressure") {
  for (const Viscosity& eta : {newtonian(1000), thin, carreau})
    for (const Die& die : {strand(), slit(), annulus(0.8)}) {
      CHECK(through(die, 0, eta).pressure == 0);
      CHECK(through(die, 0, eta).shear_rate == 0);
    }
}

TEST_CASE("two openings take half the flow each, a filler's factor multiplies a Newtonian melt's pressure") {
  Die two = strand();
  two.count = 2;
  CHECK(through(two, 2 * Q, thin).pressure == Approx(through(strand(), Q, thin).pressure).epsilon(1e-12));
  const double once = die_flow(strand(), Q * rho, rho, thin, 1, T).pressure,
               twice = die_flow(strand(), Q * rho, rho, thin, 2, T).pressure;
  CHECK(twice == Approx(2 * once).epsilon(1e-10));
}

TEST_CASE("curve: nothing at no flow, straight between points, the last line goes on") {
  const auto at = [](std::vector<std::pair<double, double>> points, double flow) {
    return die_flow({.kind = Die::Kind::curve, .curve = std::move(points)}, flow, rho, newtonian(1), 1, T).pressure;
  };
  CHECK(at({{0, 0}, {100, 200}}, 0) == 0);
  CHECK(at({{0, 0}, {100, 200}}, 10) == Approx(20));
  CHECK(at({{0, 0}, {100, 200}}, 150) == Approx(300));
  CHECK(at({{10, 30}, {20, 50}}, 5) == Approx(15));  // from nothing to the first point
  CHECK(at({{10, 30}, {20, 50}}, 15) == Approx(40));
  CHECK(at({{10, 30}, {20, 50}}, 40) == Approx(90));
  CHECK(at({{10, 30}}, 20) == Approx(60));
  CHECK(at({{0, 5}, {10, 25}}, 0) == Approx(5));  // a point at no flow is believed
  CHECK(at({{0, 5}, {10, 25}}, 5) == Approx(15));
  CHECK(at({}, 5) == 0);
}

TEST_CASE("taper: a taper of no angle is a strand, and joins it smoothly") {
  const double straight = strand_pressure(1e4, 0.4, 2e-3, land, Q);
  CHECK(taper_pressure(1e4, 0.4, 4e-3, 4e-3, land, Q) == Approx(straight).epsilon(1e-12));
  CHECK(taper_pressure(1e4, 0.4, 4.004e-3, 3.996e-3, land, Q) == Approx(straight).epsilon(1e-3));
  const double slices = [] {  // midpoint rule along the taper
    double sum = 0;
    for (int i = 0; i < 20000; ++i)
      sum += strand_pressure(16e3, 0.3, (6e-3 - 3e-3 * (i + 0.5) / 20000) / 2, 60e-3 / 20000, 1e-5);
    return sum;
  }();
  CHECK(taper_pressure(16e3, 0.3, 6e-3, 3e-3, 60e-3, 1e-5) == Approx(slices).epsilon(1e-7));
}
