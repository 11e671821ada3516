// The strip solver of elements against figures from outside it. "Reference": an independent reference implementation of
// our own (finite volumes, sparse direct; 3D Stokes Q2-P1), carried to fine grids; its own distance is stated as ±.
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <utility>
#include <vector>

#include "flow/element_example.hpp"
#include "flow/element_solution.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double nothing = 0;

struct Figures {
  double A1, B, c;
};

double carried(double coarse, double fine, double order = 1.5) {
  return fine + (fine - coarse) / (std::exp2(order) - 1);
}

/// Two grids carried to fine ones, and how far: the grid's own doubt.
struct Carried {
  Figures value, distance;
};
Carried solved(const ElementShape& shape, const StripModel& model, Run run, int across, int turns) {
  const MeanFlow a = mean_flow(shape, grid_for(shape, across), model, run, turns),
                 b = mean_flow(shape, grid_for(shape, 2 * across), model, run, turns);
  const Figures v{carried(a.A1, b.A1), carried(a.B, b.B), carried(a.c, b.c)};
  return {v, {std::abs(v.A1 - b.A1), std::abs(v.B - b.B), std::abs(v.c - b.c)}};
}

struct Reference {
  const char* what;
  ElementShape shape;
  StripModel model;
  Run run;
  Figures value, distance;
};

void compare(const Reference& r, int across, int turns) {
  CAPTURE(r.what);
  CAPTURE(r.shape.lead);
  CAPTURE(r.shape.stagger);
  const Carried mine = solved(r.shape, r.model, r.run, across, turns);
  const auto near = [](double a, double b, double doubt) { return std::abs(a - b) <= doubt; };
  CAPTURE(mine.value.A1);
  CAPTURE(mine.value.B);
  CAPTURE(mine.value.c);
  CHECK(near(mine.value.A1, r.value.A1, r.distance.A1 + mine.distance.A1 + 1e-9));
  CHECK(near(mine.value.B, r.value.B, r.distance.B + mine.distance.B));
  CHECK(near(mine.value.c, r.value.c, r.distance.c + mine.distance.c));
}

using Join = StripModel::Join;

StripModel sloped() {
  StripModel model = flat;
  model.slopes = true;
  return model;
}

std::vector<Reference> conveying_references() {
  const StripModel plain = joined(flat, Join::plain), sealed = joined(flat, Join::sealed),
                   sealed_slope = joined(sloped(), Join::sealed);
  const auto at = conveying_example;
  constexpr Run endless = Run::endless;
  return {{"plain", at(0.75, 0.005, 0.01), plain, endless, {0.1941, 0.5909e-4, 1790}, {1e-4, 1e-8, 8}},
          {"sealed", at(0.75, 0.005, 0.01), sealed, endless, {0.2595, 0.5909e-4, 1850}, {1e-4, 1e-8, 8}},
          {"nip", at(0.75, 0.005, 0.01), flat, endless, {0.2571, 0.6001e-4, 2154}, {1e-4, 1e-8, 8}},
          {"sealed, slope", at(0.75, 0.005, 0.01), sealed_slope, endless, {0.2287, 0.4965e-4, 2356}, {1e-4, 2e-8, 13}},
          {"nip, slope", at(0.75, 0.005, 0.01), sloped(), endless, {0.2254, 0.5057e-4, 2602}, {1e-4, 1e-8, 17}},
          {"plain", at(1, 0.005, 0.01), plain, endless, {0.2494, 1.0093e-4, 1832}, {1e-4, 1e-8, 8}},
          {"sealed", at(1, 0.005, 0.01), sealed, endless, {0.3357, 1.0093e-4, 1923}, {1e-4, 1e-8, 8}},
          {"nip", at(1, 0.005, 0.01), flat, endless, {0.3332, 1.0192e-4, 2216}, {2e-4, 1e-8, 9}},
          {"sealed, slope", at(1, 0.005, 0.01), sealed_slope, endless, {0.3066, 0.8927e-4, 2277}, {1e-4, 1e-8, 9}},
          {"nip, slope", at(1, 0.005, 0.01), sloped(), endless, {0.3030, 0.9026e-4, 2524}, {2e-4, 1e-8, 10}},
          {"plain", at(2, 0.005, 0.01), plain, endless, {0.4009, 3.2392e-4, 2043}, {2e-4, 3e-8, 10}},
          {"sealed", at(2, 0.005, 0.01), sealed, endless, {0.5558, 3.2392e-4, 2317}, {2e-4, 3e-8, 10}},
          {"nip", at(2, 0.005, 0.01), flat, endless, {0.5609, 3.2611e-4, 2560}, {4e-4, 2e-8, 10}},
          {"nip, slope", at(2, 0.005, 0.01), sloped(), endless, {0.5387, 3.0922e-4, 2682}, {3e-4, 2e-8, 6}}};
}

std::vector<Reference> kneading_references() {
  const StripModel plain = joined(flat, Join::plain), sealed = joined(flat, Join::sealed);
  const ElementShape half = kneading_example(45), neutral = kneading_example(90);
  constexpr Run endless = Run::endless, block = Run::block;
  return {{"staircase, plain", half, plain, endless, {0.1966, 3.1277e-4, 2152}, {4e-4, 68e-8, 4}},
          {"staircase, sealed", half, sealed, endless, {0.2777, 3.1277e-4, 2555}, {9e-4, 68e-8, 9}},
          {"staircase, nip", half, flat, endless, {0.2735, 3.2300e-4, 2735}, {9e-4, 85e-8, 6}},
          {"staircase, nip, slope", half, sloped(), endless, {0.2782, 3.0415e-4, 2775}, {9e-4, 81e-8, 7}},
          {"block, sealed", half, sealed, block, {0.2446, 4.2480e-4, 2535}, {7e-4, 65e-8, 8}},
          {"block, nip", half, flat, block, {0.2430, 4.4033e-4, 2723}, {8e-4, 85e-8, 6}},
          {"block, nip, slope", half, sloped(), block, {0.2475, 4.1814e-4, 2761}, {8e-4, 81e-8, 6}},
          {"staircase, plain", neutral, plain, endless, {nothing, 5.0117e-4, 2121}, {nothing, 15e-8, 5}},
          {"staircase, sealed", neutral, sealed, endless, {nothing, 5.0117e-4, 2441}, {nothing, 15e-8, 8}},
          {"staircase, nip", neutral, flat, endless, {nothing, 5.2794e-4, 2675}, {nothing, 24e-8, 5}},
          {"staircase, nip, slope", neutral, sloped(), endless, {nothing, 4.9105e-4, 2706}, {nothing, 24e-8, 5}},
          {"block, nip", neutral, flat, block, {nothing, 5.6338e-4, 2667}, {nothing, 26e-8, 5}},
          {"block, nip, slope", neutral, sloped(), block, {nothing, 5.2574e-4, 2699}, {nothing, 26e-8, 5}}};
}

/// Deviation from a three-dimensional figure, in sigmas of what the solution states.
double sigmas(double mine, double truth, double stated) { return std::abs(mine / truth - 1) / stated; }

/// Newtonian figures and uncertainty alone: the rest of a solution on grids of little cost.
ElementSolution newtonian(const ElementShape& shape, int across, int turns) {
  const ElementGrids grids{.coarse = across,
                           .fine = 2 * across,
                           .turns = turns,
                           .thinning_coarse = 32,
                           .thinning_fine = 48,
                           .thinning_turns = 1,
                           .tracking = 32,
                           .tracking_turns = 4,
                           .particles = 10};
  return solve_element(shape, grids).solution.value();
}

/// Of the face power, the part that a gap of 0.015 D leaves: what the 3D cases blend their edges over.
double power_at_reference_gap(const ElementSolution& s) {
  constexpr double gap = 0.01, reference = 0.015;
  return s.line.P0 - s.line.P1 * s.line.A1 - s.face_power * (1 - gap / reference);
}

void three_dimensions(int across, int turns) {
  struct Conveying {
    double lead, A1, B, P0, A2;
  };
  for (const Conveying& r : {Conveying{0.5, 0.1260, 0.1894e-4, 3085, 6655}, Conveying{1, 0.2954, 0.9432e-4, 2565, 3132},
                             Conveying{2, 0.5202, 3.3060e-4, 2528, 1574}}) {
    CAPTURE(r.lead);
    const ElementSolution s = newtonian(conveying_example(r.lead, 0.01, 0.02), across, turns);
    const double c = s.line.P0 - s.line.P1 * s.line.A1;
    CAPTURE(s.line.A1);
    CAPTURE(s.line.B);
    CAPTURE(c);
    CHECK(sigmas(s.line.A1, r.A1, s.model.A1) < 2);
    CHECK(sigmas(s.line.B, r.B, s.model.B) < 2);
    CHECK(sigmas(c, r.P0 - r.A1 * r.A2, s.model.power) < 2);
    CHECK(s.in_range == (r.lead >= 0.75));
  }
  struct Staircase {
    double stagger, A1, B, c;
  };
  for (const Staircase& r : {Staircase{45, 0.2510, 2.423e-4, 2182}, Staircase{90, 0, 3.716e-4, 2662}}) {
    CAPTURE(r.stagger);
    const ElementSolution s = newtonian(kneading_example(r.stagger, 0.2, 0.01, 0.02), across, turns);
    CAPTURE(s.line.A1);
    CAPTURE(s.line.B);
    CAPTURE(power_at_reference_gap(s));
    if (r.A1 == 0) CHECK(s.line.A1 == 0);
    else CHECK(sigmas(s.line.A1, r.A1, s.model.A1) < 2);
    CHECK(sigmas(s.line.B, r.B, s.model.B) < 2);
    CHECK(sigmas(power_at_reference_gap(s), r.c, s.model.power) < 2);
  }
}

ThinningLaw power_law(double n) { return {.eta0 = 1, .lambda = 1, .n = n, .plateau = false, .least_rate = 1e-4}; }

}  // namespace

TEST_CASE("strip solver: conveying t = 1 D, every join, and a staircase against the reference") {
  for (const Reference& r : conveying_references())
    if (r.shape.lead == 1) compare(r, 64, 1);
  compare(kneading_references()[2], 64, 4);
}

// The naive periodic strip holds back what the nip carries: 25 % of the throughput at t = 1 D.
TEST_CASE("strip solver: joined as if the other screw were not there, a strip conveys a quarter less") {
  const ElementShape shape = conveying_example(1);
  const double plain = mean_flow(shape, grid_for(shape, 64), joined(flat, Join::plain), Run::endless).A1,
               nip = mean_flow(shape, grid_for(shape, 64), flat, Run::endless).A1;
  CHECK(plain / nip == Approx(0.2494 / 0.3332).epsilon(0.01));
}

TEST_CASE("strip solver: full model against three-dimensional Stokes flow, within twice the stated uncertainty") {
  three_dimensions(32, 4);
}

TEST_SUITE("slow") {
  TEST_CASE("strip solver: conveying elements against the reference, every lead and join") {
    for (const Reference& r : conveying_references()) compare(r, 128, 1);
  }

  TEST_CASE("strip solver: staircases and blocks with open ends against the reference") {
    for (const Reference& r : kneading_references()) compare(r, 64, 12);
  }

  // The reference observes 1.5, 1.4 and 1.5 for A1, A1/B and power.
  TEST_CASE("strip solver: errors fall with an order between 1.3 and 2") {
    const ElementShape shape = conveying_example(1);
    for (const Join join : {Join::nip, Join::sealed}) {
      std::vector<Figures> flows;
      for (const int across : {128, 256, 512}) {
        const MeanFlow m = mean_flow(shape, grid_for(shape, across), joined(flat, join), Run::endless);
        flows.push_back({m.A1, m.A1 / m.B, m.c});
      }
      for (const auto figure : {&Figures::A1, &Figures::B, &Figures::c}) {
        const double order = std::log2((flows[1].*figure - flows[0].*figure) / (flows[2].*figure - flows[1].*figure));
        CHECK(order > 1.3);
        CHECK(order < 2);
      }
    }
  }

  TEST_CASE("strip solver: a nip that closes is a sealed one, A1 within 0.3 % at 0.00125 D") {
    const ElementShape shape = conveying_example(1, 0.005, 0.00125);
    const StripGrid grid = grid_for(shape, 128);
    const MeanFlow nip = mean_flow(shape, grid, flat, Run::endless),
                   sealed = mean_flow(shape, grid, joined(flat, Join::sealed), Run::endless);
    CHECK(nip.A1 == Approx(sealed.A1).epsilon(0.003));
    CHECK(nip.B == Approx(sealed.B).epsilon(0.01));
  }

  // Couette power of the strip between the screws, from the reference.
  TEST_CASE("strip solver: the nip takes what its gap says") {
    for (const auto& [gap, power] : {std::pair{0.01, 337.0}, std::pair{0.02, 238.0}, std::pair{0.04, 162.0}}) {
      const ElementShape shape = conveying_example(1, 0.005, gap);
      StripField f = StripFields(shape, grid_for(shape, 256), flat, Run::endless).at(0.2);
      double sum = 0;
      for (std::size_t i = static_cast<std::size_t>(2 * f.lobe_links * f.topology.rows); i < f.shear.size(); ++i)
        sum += f.shear[i];
      CHECK(sum / f.length == Approx(power).epsilon(0.01));
    }
  }

  TEST_CASE("strip solver: full model against three-dimensional Stokes flow, on the grids of the product") {
    three_dimensions(64, 12);
  }

  // Reference: Q0 at no gradient, gradient and power at no throughput, power at no gradient, gradient at Qh. Its own
  // uncertainty: Q0 0.3 to 1.5 %, G0 0.1 to 2 %, P 0.5 to 1.5 %.
  TEST_CASE("strip solver: power-law liquids against the reference, n = 0.8 and 0.4") {
    struct Row {
      ElementShape shape;
      double n, Q0, G0, P_open, P_closed, Qh, G_half, P_half;
    };
    const ElementShape flight = conveying_example(1), half = kneading_example(45), neutral = kneading_example(90);
    for (const Row& r : {Row{flight, 0.8, 0.329, 1411, 749, 1188, 0.165, 759.4, 987.2},
                         Row{flight, 0.4, 0.3116, 254, 108.2, 168.4, 0.165, 134.9, 143.3},
                         Row{half, 0.8, 0.259, 356, 911.6, 994.2, 0.135, 167.9, 952.7},
                         Row{half, 0.4, 0.2124, 49.85, 119.9, 127.1, 0.135, 17.33, 123.2},
                         Row{neutral, 0.8, 0, 0, 884.9, 884.9, 0.1, -92.47, 884},
                         Row{neutral, 0.4, 0, 0, 114.8, 114.8, 0.1, -20.41, 114.2}}) {
      CAPTURE(r.shape.stagger);
      CAPTURE(r.n);
      Figures open[2], closed[2], loaded[2];  // throughput or gradient, -, power on two grids
      for (int i = 0; i < 2; ++i) {
        ThinningStrip strip(r.shape, grid_for(r.shape, 64 << i), flat, 8);
        const ThinningFlow a = strip.solve(power_law(r.n), {0, false}), b = strip.solve(power_law(r.n), {0, true}),
                           c = strip.solve(power_law(r.n), {r.Qh, true});
        REQUIRE((a.converged && b.converged && c.converged));
        open[i] = {a.throughput, 0, a.power}, closed[i] = {b.gradient, 0, b.power},
        loaded[i] = {c.gradient, 0, c.power};
      }
      const auto check = [](double coarse, double fine, double truth, double doubt) {
        const double value = carried(coarse, fine, 1.75);
        CAPTURE(value);
        CAPTURE(truth);
        CHECK(std::abs(value - truth) <= doubt * std::abs(truth) + std::abs(value - fine) + 1e-3);
      };
      check(open[0].A1, open[1].A1, r.Q0, 0.015);
      check(closed[0].A1, closed[1].A1, r.G0, 0.02);
      check(open[0].c, open[1].c, r.P_open, 0.015);
      check(closed[0].c, closed[1].c, r.P_closed, 0.015);
      check(loaded[0].A1, loaded[1].A1, r.G_half, 0.02);
      check(loaded[0].c, loaded[1].c, r.P_half, 0.015);
    }
  }

  // Fall of the throughput with n, and the rate at which the viscosity of the build-up is read: reference, flat nip.
  TEST_CASE("strip solver: throughput falls with the index, and gradients thin at the rates of the reference") {
    ThinningStrip flight(conveying_example(1), grid_for(conveying_example(1), 96), flat, 1),
        discs(kneading_example(45), grid_for(kneading_example(45), 96), flat, 6);
    const ThinningFlow one = flight.solve(power_law(1), {0, true}), open = flight.solve(power_law(1), {0, false}),
                       disc = discs.solve(power_law(1), {0, false});
    const double fall[][3] = {{0.8, 0.987, 0.948}, {0.6, 0.968, 0.878}, {0.4, 0.935, 0.778}, {0.3, 0.908, 0.705}};
    for (const auto& [n, conveying, kneading] : fall) {
      CAPTURE(n);
      CHECK(flight.solve(power_law(n), {0, false}).throughput / open.throughput == Approx(conveying).epsilon(0.005));
      CHECK(discs.solve(power_law(n), {0, false}).throughput / disc.throughput == Approx(kneading).epsilon(0.02));
    }
    for (const auto& [n, K] : {std::pair{0.8, 66.77}, std::pair{0.4, 70.71}}) {
      const double eta = flight.solve(power_law(n), {0, true}).gradient / one.gradient;
      CHECK(std::pow(eta, 1 / (n - 1)) == Approx(K).epsilon(0.05));
    }
  }

  // Carreau, n = 0.4, conveying t = 1 D: rates per turn that give the gradient and the power without throughput.
  TEST_CASE("strip solver: a plateau raises the rates at which viscosities are read, as in the reference") {
    const ElementShape shape = conveying_example(1);
    ThinningStrip strip(shape, grid_for(shape, 96), flat, 1);
    const ThinningFlow newton = strip.solve(power_law(1), {0, true});
    const double rows[][3] = {{0.003, 94, 314}, {0.03, 75, 159}, {0.3, 70, 146}, {3, 70, 145}};
    for (const auto& [lambda, pressure, power] : rows) {
      CAPTURE(lambda);
      const ThinningLaw law{.eta0 = 1, .lambda = lambda, .n = 0.4};
      const ThinningFlow flow = strip.solve(law, {0, true});
      const auto rate = [&, l = lambda](double eta) { return std::sqrt(std::pow(eta, 2 / (0.4 - 1)) - 1) / l; };
      CHECK(rate(flow.gradient / newton.gradient) == Approx(pressure).epsilon(0.05));
      CHECK(rate(flow.power / newton.power) == Approx(power).epsilon(0.07));
    }
  }
}
