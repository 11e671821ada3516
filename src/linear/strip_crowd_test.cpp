#include <cmath>
#include <doctest/doctest.h>
#include <random>

#include "linear/strip_check.hpp"
#include "linear/strip_cholesky.hpp"

using namespace quern;
using namespace quern::strip_check;

namespace {

using Random = std::mt19937_64;

int integer(Random& random, int from, int to) { return std::uniform_int_distribution<int>(from, to)(random); }
double uniform(Random& random, double from, double to) {
  return std::uniform_real_distribution<double>(from, to)(random);
}
bool coin(Random& random) { return integer(random, 0, 1) == 1; }

/// Of any rotation, stretch and contrast from 1e2 to 1e9; a ring or a figure-eight, open or periodic, even or odd.
StripExample any_example(Random& random, int most_columns, int most_rows) {
  const int columns = integer(random, 6, most_columns), rows = integer(random, 3, most_rows);
  const bool periodic = coin(random);
  const StripTopology t =
      coin(random) ? ring(columns, rows, periodic)
                   : figure_eight(std::max(1, 2 * columns / 5), integer(random, 0, columns / 5), rows, periodic);
  return {.topology = t,
          .aspect = std::pow(10, uniform(random, -0.7, 1)),
          .tip = std::pow(10, -2 - uniform(random, 2, 9) / 3),
          .turn = uniform(random, 0, 1),
          .leads = periodic ? integer(random, 0, 2) : uniform(random, 0, 2)};
}

/// What enters and does not leave, of all that enters.
double imbalance(const StripProblem& problem, std::span<const double> p) {
  double net = 0, all = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    net += problem.b[i] - problem.system.ground[i] * p[i];
    all += std::abs(problem.b[i]);
  }
  return std::abs(net) / all;
}

/// Small systems are solved as asked within 30 iterations, or the report says that the Cholesky did it.
void crowd(int count, std::uint64_t seed) {
  Random random(seed);
  int direct = 0, most = 0, beyond = 0;
  for (int i = 0; i < count; ++i) {
    const StripExample example = any_example(random, 90, 30);
    CAPTURE(i);
    CAPTURE(example.aspect);
    CAPTURE(example.tip);
    CAPTURE(example.topology.columns());
    CAPTURE(example.topology.rows);
    const StripProblem problem = strip_problem(example);
    const double asked = 1e-8;
    const Answer a = solved(problem, asked, 30);
    REQUIRE(a.report.converged);
    direct += a.report.direct;
    most = std::max(most, a.report.direct ? 0 : a.report.iterations);
    const double residual = true_residual(problem, a.p);
    CHECK(a.report.residual == doctest::Approx(residual).epsilon(0.5));
    if (residual > 2 * asked) {  // more than doubles can hold: no more than the direct solver can do
      ++beyond;
      StripCholesky cholesky(example.topology);
      REQUIRE(cholesky.factor(problem.system));
      REQUIRE(residual <= 4 * true_residual(problem, cholesky.solve(problem.b)));
    }
    REQUIRE(imbalance(problem, a.p) <= std::max(1e-8, residual));
  }
  MESSAGE("most iterations " << most << ", answered by Cholesky " << direct << " of " << count
                             << ", asked for more than doubles hold " << beyond);
  CHECK(beyond <= count / 100);
  CHECK(direct <= count / 100);
}

}  // namespace

TEST_CASE("strip solver: agrees with the sparse Cholesky to 1e-8 on any geometry") {
  Random random(7);
  for (int i = 0; i < 200; ++i) {
    const StripExample example = any_example(random, 70, 24);
    CAPTURE(i);
    const StripProblem problem = strip_problem(example);
    StripCholesky cholesky(example.topology);
    REQUIRE(cholesky.factor(problem.system));
    const Answer a = solved(problem, 1e-12);
    REQUIRE(a.report.converged);
    CHECK(difference(a.p, cholesky.solve(problem.b)) < 1e-8);
  }
}

TEST_CASE("strip solver: a crowd of small grids is solved as asked") { crowd(1000, 11); }

TEST_CASE("strip solver: a large crowd of small grids is solved as asked" * doctest::test_suite("slow")) {
  crowd(10000, 13);
}

TEST_CASE("strip solver: what one cell does to another, that does to it") {
  Random random(3);
  for (int i = 0; i < 20; ++i) {
    StripProblem problem = strip_problem(any_example(random, 40, 16));
    const auto n = static_cast<int>(problem.b.size());
    const auto here = static_cast<std::size_t>(integer(random, 0, n - 1)),
               there = static_cast<std::size_t>(integer(random, 0, n - 1));
    const auto response = [&](std::size_t at) {
      std::fill(problem.b.begin(), problem.b.end(), 0.0);
      problem.b[at] = 1;
      return solved(problem, 1e-13).p;
    };
    const std::vector<double> p = response(here), q = response(there);
    const double size = std::max(std::abs(p[here]), std::abs(q[there]));
    CHECK(std::abs(p[there] - q[here]) < 1e-8 * size);
  }
}
