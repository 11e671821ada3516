#include "linear/strip_cholesky.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <random>

using namespace quern;

namespace {

StripTopology figure_eight(int rows, bool periodic) {
  return {.rows = rows,
          .periodic = periodic,
          .junctions = 2,
          .strands = {{.from = 0, .to = 1, .columns = 11},
                      {.from = 1, .to = 0, .columns = 11},
                      {.from = 1, .to = 0, .columns = 3}}};
}

StripSystem random_system(const StripTopology& t, bool grounded, std::mt19937& random) {
  std::uniform_real_distribution<double> exponent(-3, 3);
  const auto draw = [&](int n) {
    std::vector<double> v(static_cast<std::size_t>(n));
    for (double& x : v) x = std::pow(10, exponent(random));
    return v;
  };
  StripSystem s{t, draw(t.links() * t.rows), draw(t.unknowns()),
                std::vector<double>(static_cast<std::size_t>(t.unknowns()))};
  for (int c = 0; c < t.columns(); ++c) {
    const auto last = static_cast<std::size_t>(c * t.rows + t.rows - 1);
    if (!t.periodic) s.along[last] = 0;
    if (grounded) s.ground[last] = 1;
  }
  return s;
}

}  // namespace

TEST_CASE("strip Cholesky: returns the pressures a right-hand side was made from") {
  std::mt19937 random(1);
  for (const bool periodic : {false, true}) {
    for (const bool grounded : {false, true}) {
      const StripTopology t = figure_eight(8, periodic);
      const StripSystem system = random_system(t, grounded, random);
      std::vector<double> p(static_cast<std::size_t>(t.unknowns()));
      double mean = 0;
      for (double& x : p) x = std::normal_distribution<double>()(random), mean += x / t.unknowns();
      if (!grounded)
        for (double& x : p) x -= mean;
      StripCholesky cholesky(t);
      REQUIRE(cholesky.factor(system));
      const std::vector<double> found = cholesky.solve(outflow(system, p));
      for (std::size_t i = 0; i < p.size(); ++i) CHECK(found[i] == doctest::Approx(p[i]).epsilon(1e-8));
    }
  }
}

TEST_CASE("strip topology: three strands between two cusps") {
  const StripTopology t = figure_eight(4, true);
  CHECK(t.columns() == 27);
  CHECK(t.links() == 28);
  const auto ends = t.link_ends();
  CHECK(ends.front().from == 0);
  CHECK(ends[11].to == 1);
  CHECK(ends[12].from == 1);
  CHECK(ends.back().to == 0);
}

TEST_CASE("strip Cholesky: a matrix that is not positive is told") {
  StripTopology t{.rows = 4, .junctions = 1, .strands = {{.from = 0, .to = 0, .columns = 3}}};
  std::mt19937 random(2);
  StripSystem system = random_system(t, true, random);
  system.link[3] = -1e6;
  CHECK_FALSE(StripCholesky(t).factor(system));
}
