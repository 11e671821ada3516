#include "structure/platelets.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <numbers>

using doctest::Approx;
using namespace quern;

TEST_CASE("platelets: coefficients have defaults within their ranges, none of them calibrated") {
  for (const Coefficient& c : platelet_coefficients()) {
    CAPTURE(c.name);
    CHECK(c.lowest <= c.value);
    CHECK(c.value <= c.highest);
    CHECK_FALSE(c.calibrated);
  }
  Coefficients fixed;
  fixed.fix("gallery_opening_per_time", 0.5);
  CHECK(platelet_parameters(fixed).per_time == 0.5);
}

TEST_CASE("platelets: every one is in a stack of some size, at any time") {
  for (const int fed : {1, 2, 3, 30, 1000}) {
    for (const double exposure : {0.0, 0.01, 1.0, 50.0}) {
      CAPTURE(fed);
      CAPTURE(exposure);
      const PlateletStacks s{double(fed), exposure};
      double platelets = 0, stacks = 0;
      for (int n = 1; n <= fed; ++n) platelets += n * s.stacks_of(n), stacks += s.stacks_of(n);
      CHECK(platelets == Approx(fed).epsilon(1e-12));
      CHECK(s.mean_platelets() == Approx(platelets / stacks).epsilon(1e-12));
      CHECK(s.singles() == Approx(s.stacks_of(1) / fed).epsilon(1e-12));
    }
  }
}

TEST_CASE("platelets: no time changes nothing, nor does time before the melt; all time parts them all") {
  const PlateletStacks fed{20, 0};
  const PlateletParameters p = platelet_parameters({});
  CHECK(advance(fed, Exposure{}, p) == fed);
  CHECK(advance(fed, Exposure{.time = 100, .melt_fraction = 0, .shear_rate = 100, .viscosity = 500}, p) == fed);
  const PlateletStacks end = advance(fed, Exposure{.time = 1e9}, p);
  CHECK(end.mean_platelets() == Approx(1));
  CHECK(end.singles() == Approx(1));
}

TEST_CASE("platelets: each gallery opens at the rate given, so e^-1 are closed after its time") {
  const PlateletStacks after = advance(PlateletStacks{20, 0}, Exposure{.time = 60}, platelet_parameters({}));
  CHECK(after.opened() == Approx(1 - std::exp(-1.0)).epsilon(1e-12));
  CHECK(after.mean_platelets() == Approx(20 / (1 + 19 * (1 - std::exp(-1.0)))).epsilon(1e-12));
}

// Dennis et al. (2001), Polymer 42, 9513 (summary): residence time is the primary lever, shear alone does not decide.
TEST_CASE("platelets: twice the time does more than twice the shear rate") {
  const Exposure usual{.time = 60, .shear_rate = 50, .viscosity = 500};
  Exposure longer = usual, faster = usual;
  longer.time *= 2, faster.shear_rate *= 2;
  const PlateletStacks fed{20, 0};
  const PlateletParameters p = platelet_parameters({});
  CHECK(advance(fed, longer, p).singles() > advance(fed, faster, p).singles());
  CHECK(advance(fed, faster, p).singles() > advance(fed, usual, p).singles());
}

TEST_CASE("platelets: a history adds up") {
  const Exposure a{.time = 20, .shear_rate = 30, .viscosity = 900},
      b{.time = 5, .tip_passes = 4, .tip_rate = 400, .tip_viscosity = 300, .tip_time = 0.02};
  const PlateletParameters p = platelet_parameters({});
  const auto states = advance(PlateletStacks{20, 0}, History{a, b}, p);
  REQUIRE(states.size() == 2);
  CHECK(states[1] == advance(advance(PlateletStacks{20, 0}, a, p), b, p));
  CHECK(states[1].exposure > states[0].exposure);
}

TEST_CASE("Bragg: layer spacings of graphite and of an expanded clay with copper radiation") {
  const double degree = std::numbers::pi / 180;
  CHECK(bragg_spacing(1.5406e-10, 26.5 * degree) == Approx(3.3608e-10).epsilon(2e-5));
  CHECK(bragg_spacing(1.5406e-10, 2.5 * degree) == Approx(35.3108e-10).epsilon(2e-5));
}
