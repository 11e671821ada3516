#include "structure/heat_history.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>

using doctest::Approx;
using namespace quern;

namespace {

Exposure at(double T, double time, double hotter = 0) {
  return {.time = time, .temperature = T, .hottest = T + hotter};
}

}  // namespace

TEST_CASE("heat: a second at the guide temperature counts one second, whatever the activation energy") {
  for (const double E : {0.0, 80e3, 250e3}) CHECK(advance({}, at(533.15, 1), {533.15, E}).dose == 1);
}

TEST_CASE("heat: 40 kJ/mol between 200 and 230 degC is a factor of 0.545375") {  // with R = 8.314 J/(mol K)
  CHECK(arrhenius_factor({503.15, 40e3}, 473.15) == Approx(0.545375).epsilon(5e-5));
}

TEST_CASE("heat: the dose over a history is the sum of each station's") {
  const HeatParameters p{523.15, 150e3};
  const History history{at(450, 10), at(500, 20), at(540, 5)};
  double sum = 0;
  for (const Exposure& e : history) sum += e.time * std::exp(150e3 / 8.314462618 * (1 / 523.15 - 1 / e.temperature));
  const auto along = heat_along({}, history, p);
  REQUIRE(along.size() == 3);
  CHECK(along.back().dose == Approx(sum).epsilon(1e-13));
  CHECK(along.back().time == 35);
  CHECK(along.back().time_above == 5);
  CHECK(along.back().peak == 540);
  CHECK(along[1].time_above == 0);
}

TEST_CASE("heat: in 1/T falling evenly with time the dose has a closed form") {
  // 1/T = 1/T0 - b t: ∫ exp[-E/R (1/T - 1/T_guide)] dt = [f(t) - f(0)]/(b E/R)
  const HeatParameters p{523.15, 150e3};
  const double b = 2e-6, time = 60, theta = 150e3 / 8.314462618;
  const auto T = [&](double t) { return 1 / (1 / 470.0 - b * t); };
  History history;
  const int steps = 4000;
  for (int i = 0; i < steps; ++i) history.push_back(at(T((i + 0.5) * time / steps), time / steps));
  const double exact = (arrhenius_factor(p, T(time)) - arrhenius_factor(p, T(0))) / (b * theta);
  CHECK(heat_along({}, history, p).back().dose == Approx(exact).epsilon(1e-6));
}

TEST_CASE("heat: the hottest place gives the upper figure") {
  const HeatParameters p{500, 150e3};
  const HeatHistory h = advance({}, at(480, 3, 40), p);
  CHECK(h.dose < h.highest_dose);
  CHECK(h.highest_dose == Approx(3 * arrhenius_factor(p, 520)));
  CHECK(h.time_above == 0);
  CHECK(h.highest_time_above == 3);
  CHECK(h.peak == 480);
  CHECK(h.hottest == 520);
}

TEST_CASE("heat: the upper figure is never below the mean's, though a history may not say what was hottest") {
  const HeatHistory h = advance({}, at(480, 3, -100), {});
  CHECK(h.highest_dose == h.dose);
  CHECK(h.hottest == 480);
}

TEST_CASE("heat: no time changes nothing") {
  const HeatHistory before{.time = 3, .dose = 0.2, .highest_dose = 0.3, .peak = 400, .hottest = 410};
  const HeatHistory after = advance(before, at(900, 0), {});
  CHECK(after.time == before.time);
  CHECK(after.dose == before.dose);
  CHECK(after.highest_dose == before.highest_dose);
  CHECK(after.peak == before.peak);
  CHECK(after.hottest == before.hottest);
}

TEST_CASE("heat: hotter, and lower throughput (longer), raise the dose") {
  // as PP degrades in co-rotating machines: Altepeter et al. (2023), Polymers 15, 2181 (abstract)
  CHECK(advance({}, at(510, 10), {}).dose > advance({}, at(500, 10), {}).dose);
  CHECK(advance({}, at(500, 20), {}).dose > advance({}, at(500, 10), {}).dose);
}

TEST_CASE("heat: the extremes of temperature and energy are still numbers") {
  for (const double T : {-10.0, 0.0, 1e-300, 500.0, 1e300})
    for (const double E : {0.0, 400e3}) {
      const HeatHistory h = advance({}, at(T, 1e6), {250, E});
      CHECK(std::isfinite(h.dose));
      CHECK(std::isfinite(h.highest_dose));
    }
}

TEST_CASE("heat: a material without a guide has no dose; the activation energy is the coefficient's") {
  Material material;
  CHECK_FALSE(heat_parameters(material, {}).has_value());
  material.degradation_guide = 533.15;
  CHECK(heat_parameters(material, {})->guide == 533.15);
  CHECK(heat_parameters(material, {})->activation == 150e3);
  Coefficients fixed;
  fixed.fix("degradation_activation", 90e3);
  CHECK(heat_parameters(material, fixed)->activation == 90e3);
  REQUIRE(heat_history_coefficients().size() == 1);
  const Coefficient& c = heat_history_coefficients()[0];
  CHECK((c.lowest < c.value && c.value < c.highest));
}

TEST_CASE("heat: of an ensemble, by mass: who has been over the guide, and what is over it at any moment") {
  const HeatParameters p{500, 150e3};
  const HeatHistory cool = heat_along({}, {at(450, 30)}, p).back();
  const HeatHistory hot = heat_along({}, {at(450, 20), at(520, 10, 5)}, p).back();
  const HeatHistory touched = heat_along({}, {at(450, 40, 100)}, p).back();
  const std::vector<HeatHistory> parcels{cool, hot, touched};
  const std::vector<double> mass{1, 2, 1};
  const EnsembleHeat all = ensemble_heat(parcels, mass);
  CHECK(all.ever_above == Approx(0.5));
  CHECK(all.ever_touched == Approx(0.75));
  CHECK(all.held_above == Approx(2 * 10 / (30.0 + 2 * 30 + 40)));
  CHECK(all.dose.mean == Approx((cool.dose + 2 * hot.dose + touched.dose) / 4));
  CHECK(all.highest_dose.p95 == Approx(touched.highest_dose));
  CHECK(ensemble_heat(std::vector{cool, cool}).ever_above == 0);
  CHECK(ensemble_heat(std::vector{hot, hot, hot}).ever_above == 1);
}
