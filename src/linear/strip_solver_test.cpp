#include "linear/strip_solver.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <numeric>

#include "linear/strip_check.hpp"
#include "linear/strip_cholesky.hpp"

using namespace quern;
using namespace quern::strip_check;

TEST_CASE("strip solver: iterations do not grow with the grid nor with the contrast") {
  for (const double tip : {1e-3, 1e-4, 1e-5})
    for (const int n : {90, 180, 360}) {
      CAPTURE(tip);
      CAPTURE(n);
      const Answer a = solved(strip_problem({.topology = ring(n, n / 3, false), .tip = tip}), 1e-10);
      CHECK(a.report.converged);
      CHECK_FALSE(a.report.direct);
      CHECK(a.report.iterations <= 15);
    }
}

TEST_CASE("strip solver: iterations hardly depend on the rotation") {
  for (const bool periodic : {false, true})
    for (int i = 0; i < 12; ++i) {
      CAPTURE(i);
      const Answer a = solved(strip_problem({.topology = ring(180, 60, periodic), .turn = i / 24.0}), 1e-10);
      CHECK(a.report.converged);
      CHECK_FALSE(a.report.direct);
      CHECK(a.report.iterations <= 15);
    }
}

TEST_CASE("strip solver: stretched cells take at most 25 iterations") {
  for (const double aspect : {0.2, 0.5, 2.0, 5.0})
    for (const bool periodic : {false, true}) {
      CAPTURE(aspect);
      const Answer a = solved(strip_problem({.topology = ring(240, 80, periodic), .aspect = aspect}), 1e-10);
      CHECK(a.report.converged);
      CHECK_FALSE(a.report.direct);
      CHECK(a.report.iterations <= 25);
    }
}

TEST_CASE("strip solver: pressure falls in a straight line between known pressures") {
  const StripTopology t = figure_eight(9, 4, 21, false);
  StripProblem problem = uniform_strip(t, 3, 5);
  for (int c = 0; c < t.columns(); ++c)
    problem.b[static_cast<std::size_t>(c * 21 + 20)] = 2 * 5 * 1.0;  // 1 at the far end
  const Answer a = solved(problem, 1e-12);
  for (int c = 0; c < t.columns(); ++c)
    for (int k = 0; k < 21; ++k)
      CHECK(a.p[static_cast<std::size_t>(c * 21 + k)] == doctest::Approx((k + 0.5) / 21).epsilon(1e-9));
}

TEST_CASE("strip solver: a sine around a periodic ring is answered by its eigenvalue") {
  const int n = 24, rows = 12;
  const double pi = std::acos(-1.0), across = 2, along = 7;
  StripProblem problem = uniform_strip(ring(n, rows, true), across, along);
  const auto wave = [&](int c, int k) { return std::sin(2 * pi * 2 * c / n + 0.3) * std::cos(2 * pi * k / rows); };
  const auto eigenvalue = 4 * across * std::pow(std::sin(2 * pi / n), 2) + 4 * along * std::pow(std::sin(pi / rows), 2);
  for (int c = 0; c < n; ++c)
    for (int k = 0; k < rows; ++k) problem.b[static_cast<std::size_t>(c * rows + k)] = eigenvalue * wave(c, k);
  const Answer a = solved(problem, 1e-12);
  for (int c = 0; c < n; ++c)
    for (int k = 0; k < rows; ++k) CHECK(std::abs(a.p[static_cast<std::size_t>(c * rows + k)] - wave(c, k)) < 1e-10);
}

TEST_CASE("strip solver: halving the cells quarters the error of a smooth pressure") {
  const double pi = std::acos(-1.0);
  std::vector<double> errors;
  for (const int n : {16, 32, 64}) {  // p = sin(2πx) sin(πz) on a unit square, z from wall to wall
    StripProblem problem = uniform_strip(ring(n, n, false), 1, 1);
    const auto p = [&](int c, int k) { return std::sin(2 * pi * c / n) * std::sin(pi * (k + 0.5) / n); };
    for (int c = 0; c < n; ++c)
      for (int k = 0; k < n; ++k) problem.b[static_cast<std::size_t>(c * n + k)] = 5 * pi * pi * p(c, k) / (n * n);
    const Answer a = solved(problem, 1e-12);
    double worst = 0;
    for (int c = 0; c < n; ++c)
      for (int k = 0; k < n; ++k) worst = std::max(worst, std::abs(a.p[static_cast<std::size_t>(c * n + k)] - p(c, k)));
    errors.push_back(worst);
  }
  CHECK(std::log2(errors[0] / errors[1]) == doctest::Approx(2).epsilon(0.1));
  CHECK(std::log2(errors[1] / errors[2]) == doctest::Approx(2).epsilon(0.1));
}

TEST_CASE("strip solver: without ground the pressure has mean zero, and a constant push does nothing") {
  StripProblem problem = strip_problem({.topology = figure_eight(31, 7, 16, true)});
  const Answer a = solved(problem, 1e-10);
  CHECK(a.report.converged);
  const double mean = std::accumulate(a.p.begin(), a.p.end(), 0.0) / static_cast<double>(a.p.size());
  CHECK(std::abs(mean) < 1e-12 * norm(a.p));
  const double push = norm(problem.b);
  for (double& b : problem.b) b += push;
  CHECK(difference(solved(problem, 1e-10).p, a.p) < 1e-6);
  std::fill(problem.b.begin(), problem.b.end(), 3.0);
  const Answer none = solved(problem, 1e-10);
  CHECK(none.report.converged);
  CHECK(norm(none.p) == 0);
}

TEST_CASE("strip solver: no source, no pressure") {
  StripProblem problem = strip_problem({.topology = ring(30, 10, false)});
  std::fill(problem.b.begin(), problem.b.end(), 0.0);
  StripSolver solver(problem.system.topology);
  solver.set(problem.system);
  std::vector<double> p(problem.b.size(), 5.0);
  CHECK(solver.solve(problem.b, p, 1e-10).converged);
  CHECK(norm(p) == 0);
}

TEST_CASE("strip solver: started from the answer it returns at once, from near it sooner than from nothing") {
  const StripProblem problem = strip_problem({.topology = figure_eight(60, 12, 32, true), .leads = 1});
  StripSolver solver(problem.system.topology);
  solver.set(problem.system);
  std::vector<double> p(problem.b.size());
  const StripReport cold = solver.solve(problem.b, p, 1e-9);
  const std::vector<double> first = p;
  const StripReport again = solver.solve(problem.b, p, 2e-9);
  CHECK(again.iterations == 0);
  CHECK(again.converged);
  CHECK(difference(p, first) < 1e-12);
  for (double& x : p) x *= 1 + 1e-5;
  CHECK(solver.solve(problem.b, p, 1e-9).iterations < cold.iterations);
  for (double& x : p) x *= -1e9;  // worse than none
  CHECK(solver.solve(problem.b, p, 1e-9).iterations == cold.iterations);
}

TEST_CASE("strip solver: the same bits on every run, and whatever was solved before") {
  const StripProblem problem = strip_problem({.topology = figure_eight(40, 9, 24, true)});
  StripProblem other = strip_problem({.topology = problem.system.topology, .aspect = 8, .tip = 1e-5, .turn = 0.7});
  const Answer first = solved(problem, 1e-10);
  StripSolver solver(problem.system.topology);
  std::vector<double> p(problem.b.size());
  solver.set(other.system);
  solver.solve(other.b, p, 1e-10);
  std::fill(p.begin(), p.end(), 0.0);
  solver.set(problem.system);
  solver.solve(problem.b, p, 1e-10);
  CHECK(p == first.p);
}

TEST_CASE("strip solver: scale of conductances and sources does not matter") {
  const StripProblem problem = strip_problem({.topology = ring(48, 16, false)});
  const Answer a = solved(problem, 1e-10);
  for (const double scale : {1e-290, 1e-30, 1e30, 1e290}) {
    CAPTURE(scale);
    StripProblem scaled = problem;
    for (std::vector<double>* v : {&scaled.system.link, &scaled.system.along, &scaled.system.ground, &scaled.b})
      for (double& x : *v) x *= scale;
    const Answer s = solved(scaled, 1e-10);
    CHECK(s.report.converged);
    CHECK(difference(s.p, a.p) < 1e-7);
  }
}

TEST_CASE("strip solver: the smallest systems") {
  for (const bool periodic : {false, true})
    for (const int rows : {1, 2, 3, 4, 5})
      for (const int columns : {1, 2, 3, 4, 5}) {
        CAPTURE(periodic);
        CAPTURE(rows);
        CAPTURE(columns);
        StripProblem problem = uniform_strip(ring(columns, rows, periodic), 2, 3);
        problem.system.ground[0] = 0.5;
        for (std::size_t i = 0; i < problem.b.size(); ++i) problem.b[i] = std::sin(1.0 + static_cast<double>(i));
        StripCholesky cholesky(problem.system.topology);
        StripSystem plain = problem.system;  // the Cholesky knows no links of a column to itself
        REQUIRE(cholesky.factor(plain));
        const Answer a = solved(problem, 1e-12);
        CHECK(a.report.converged);
        CHECK(difference(a.p, cholesky.solve(problem.b)) < 1e-9);
      }
}

TEST_CASE("strip solver: many rows of one column, many columns of one row, strands without columns") {
  for (const StripTopology& t : {ring(1, 500, false), ring(1, 501, true), ring(500, 1, true), ring(501, 2, true),
                                 figure_eight(0, 0, 200, true), figure_eight(200, 0, 3, false),
                                 StripTopology{.rows = 17,
                                               .periodic = true,
                                               .junctions = 3,
                                               .strands = {{.from = 0, .to = 1, .columns = 20},
                                                           {.from = 1, .to = 2, .columns = 0},
                                                           {.from = 2, .to = 0, .columns = 33},
                                                           {.from = 2, .to = 2, .columns = 5}}}}) {
    CAPTURE(t.columns());
    CAPTURE(t.rows);
    StripProblem problem = uniform_strip(t, 2, 3);
    for (std::size_t i = 0; i < problem.b.size(); ++i) problem.b[i] = std::sin(3.0 * static_cast<double>(i));
    problem.system.ground[problem.b.size() / 2] = 1;
    const Answer a = solved(problem, 1e-10);
    CHECK(a.report.converged);
    CHECK_FALSE(a.report.direct);
    CHECK(true_residual(problem, a.p) <= 2e-10);
  }
}

TEST_CASE("strip solver: cells cut off from all others keep out of the way") {
  StripProblem problem = strip_problem({.topology = ring(40, 20, false)});
  const int rows = 20;
  for (const int column : {7, 20}) {  // two whole columns closed
    for (int k = 0; k < rows; ++k) {
      const auto cell = static_cast<std::size_t>(column * rows + k);
      problem.system.along[cell] = problem.system.ground[cell] = problem.b[cell] = 0;
      problem.system.link[cell] = problem.system.link[cell - rows] = 0;
    }
  }
  const Answer a = solved(problem, 1e-10);
  CHECK(a.report.converged);
  CHECK(true_residual(problem, a.p) <= 2e-10);
  problem.b[7 * rows + 3] = 1;  // nowhere to go
  CHECK_FALSE(solved(problem, 1e-10).report.converged);
}

TEST_CASE("strip solver: hostile input is told and changes nothing") {
  const StripProblem good = strip_problem({.topology = ring(30, 10, false)});
  const double nan = std::numeric_limits<double>::quiet_NaN(), infinite = std::numeric_limits<double>::infinity();
  const auto refused = [&](const StripProblem& problem) {
    StripSolver solver(good.system.topology);
    solver.set(problem.system);
    std::vector<double> p(good.b.size(), 4.0);
    const StripReport report = solver.solve(problem.b, p, 1e-10);
    CHECK_FALSE(report.converged);
    CHECK(std::all_of(p.begin(), p.end(), [](double x) { return x == 4.0; }));
  };
  for (const double bad : {nan, infinite, -infinite, -1.0}) {
    StripProblem problem = good;
    problem.system.link[17] = bad;
    refused(problem);
    problem = good;
    problem.system.along[17] = bad;
    refused(problem);
    problem = good;
    problem.system.ground[17] = bad;
    refused(problem);
    problem = good;
    problem.b[17] = bad;
    if (!std::isfinite(bad)) refused(problem);
  }
  StripProblem problem = good;
  problem.system.link.pop_back();
  refused(problem);
  problem = good;
  problem.b.pop_back();
  refused(problem);
  problem = good;
  problem.system.topology.rows = 9;
  refused(problem);
  std::vector<double> p(good.b.size(), nan);  // a start that is none
  StripSolver solver(good.system.topology);
  solver.set(good.system);
  CHECK(solver.solve(good.b, p, 1e-10).converged);
  StripSolver nothing(StripTopology{.rows = 0});
  nothing.set(good.system);
  CHECK_FALSE(nothing.solve(good.b, p, 1e-10).converged);
}

TEST_CASE("strip solver: given too few iterations the Cholesky answers, and the report says so") {
  const StripProblem problem = strip_problem({.topology = ring(60, 20, false)});
  StripSolver solver(problem.system.topology);
  solver.set(problem.system);
  std::vector<double> p(problem.b.size());
  const StripReport report = solver.solve(problem.b, p, 1e-10, 2);
  CHECK(report.direct);
  CHECK(report.converged);
  CHECK(true_residual(problem, p) <= 1e-10);
}
