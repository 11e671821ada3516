#include "structure/volatiles.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <string_view>

using doctest::Approx;
using quern::diffusivity;
using quern::saturation_pressure;
using quern::Volatile;
using quern::volatiles;

namespace {

const Volatile& find(std::string_view name) {
  const auto all = volatiles();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Volatile& v) { return v.name == name; });
  REQUIRE(found != all.end());
  return *found;
}

}  // namespace

TEST_CASE("volatiles: vapour pressures lie within 4 % of reference equations of state") {
  // As stored in the open library CoolProp 8.0.0: Wagner & Pruss (2002); Thol et al. (2019); Lemmon & Span (2006);
  // Zhou et al. (2012, 2014).
  struct Point {
    std::string_view name;
    double T_C, p;
  };
  constexpr Point points[] = {
      {"water", 100, 101418.0},        {"water", 150, 476164.5},        {"water", 200, 1554927.9},
      {"water", 240, 3346925.1},       {"water", 300, 8587904.9},       {"hexane", 100, 246326.9},
      {"hexane", 150, 753322.4},       {"hexane", 200, 1805810.4},      {"toluene", 100, 74246.1},
      {"toluene", 200, 750128.8},      {"toluene", 240, 1441707.7},     {"ethylbenzene", 100, 34276.9},
      {"ethylbenzene", 200, 431904.9}, {"ethylbenzene", 240, 873604.1}, {"cyclohexane", 100, 174730.1},
      {"cyclohexane", 200, 1345701.3}, {"cyclohexane", 240, 2418987.6},
  };
  for (const Point& point : points) {
    CAPTURE(point.name);
    CAPTURE(point.T_C);
    CHECK(saturation_pressure(find(point.name), point.T_C + 273.15) == Approx(point.p).epsilon(0.04));
  }
}

TEST_CASE("volatiles: styrene boils at 145 degC under one atmosphere") {  // handbook value, from memory
  CHECK(saturation_pressure(find("styrene"), 145.2 + 273.15) == Approx(101325).epsilon(0.02));
}

TEST_CASE("volatiles: densities are those of the liquid at 200 degC, same equations of state") {
  CHECK(find("water").density == Approx(864.66).epsilon(0.01));
  CHECK(find("hexane").density == Approx(435.07).epsilon(0.01));
  CHECK(find("toluene").density == Approx(676.28).epsilon(0.01));
  CHECK(find("ethylbenzene").density == Approx(692.07).epsilon(0.01));
  CHECK(find("cyclohexane").density == Approx(577.00).epsilon(0.01));
}

TEST_CASE("volatiles: diffusivity has its stated value at 200 degC and its activation energy for slope") {
  for (const Volatile& v : volatiles()) {
    CAPTURE(v.name);
    CHECK(diffusivity(v, 473.15) == Approx(v.diffusivity).epsilon(1e-14));
    const double slope = std::log(diffusivity(v, 500) / diffusivity(v, 450)) / (1 / 450.0 - 1 / 500.0);
    CHECK(slope * 8.314462618 == Approx(v.activation).epsilon(1e-12));
  }
}

TEST_CASE("volatiles: pressure and diffusivity stay finite at any temperature and rise with it") {
  for (const Volatile& v : volatiles()) {
    double p = -1, D = -1;
    for (const double T : {0.0, 1.0, 30.0, 100.0, 250.0, 500.0, 1e3, 1e5, 1e300}) {
      CAPTURE(T);
      CHECK(std::isfinite(saturation_pressure(v, T)));
      CHECK(std::isfinite(diffusivity(v, T)));
      CHECK(saturation_pressure(v, T) >= p);
      CHECK(diffusivity(v, T) >= D);
      p = saturation_pressure(v, T), D = diffusivity(v, T);
    }
  }
}
