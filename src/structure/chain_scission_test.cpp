#include "structure/chain_scission.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <numeric>

#include "materials/viscosity.hpp"

using doctest::Approx;
using namespace quern;  // NOLINT(google-build-using-namespace): one test, one namespace

namespace {

constexpr double peroxide_feed = 0.001 / 0.29045;  // 0.1 %, mol/kg

ChainState resin(double peroxide = 0) { return {log_normal_chains({}, 50, 5), peroxide}; }
ChainAverageState averages_of(const ChainState& s) { return {averages(s.chains), s.peroxide}; }

Exposure milling(double temperature, double energy) {
  Exposure e;
  e.time = 60, e.energy = energy, e.temperature = temperature, e.melt_fraction = 0;
  return e;
}

/// A full melt-filled element of 50 cm³: time goes with 1/Q, work with η γ̇² t, η that of a polypropylene.
Exposure melt(double celsius, double rpm, double kg_h) {
  const Viscosity polypropylene = with_arrhenius(power_law(500, 100, 0.35), 40e3, 473.15);
  Exposure e;
  e.temperature = e.hottest = 273.15 + celsius;
  e.time = 50e-6 * 750 / (kg_h / 3600);
  e.shear_rate = 0.5 * rpm;
  e.viscosity = viscosity(polypropylene, e.shear_rate, e.temperature);
  e.tip_rate = 10 * e.shear_rate, e.tip_time = 0.1 * 60 / rpm, e.tip_passes = 0.2 * e.time * rpm / 60;
  e.tip_viscosity = viscosity(polypropylene, e.tip_rate, e.temperature);
  e.energy = 1.5 * e.stress() * e.shear_rate * e.time / 750;
  return e;
}

double scissions_of(const ChainState& before, const ChainState& after) {
  return 1 / averages(after.chains).Mn - 1 / averages(before.chains).Mn;
}

}  // namespace

TEST_CASE("chain scission: no time and no energy change nothing, to the last bit") {
  Exposure e = melt(230, 300, 10);
  e.time = 0, e.energy = 0;
  const ScissionConstants c = scission_constants({});
  const ChainState before = resin(peroxide_feed), after = advance(before, e, c);
  CHECK(after.chains.mass == before.chains.mass);
  CHECK(after.peroxide == before.peroxide);
  const ChainAverageState mean = averages_of(before), mean_after = advance(mean, e, c);
  CHECK(mean_after.chains.Mw == mean.chains.Mw);
  CHECK(mean_after.chains.Mn == mean.chains.Mn);
}

TEST_CASE("chain scission: peroxide alone gives the worked figure, 60 000 to 49 095 g/mol") {
  // Suwanda, Lew & Balke (1988): 0.1 %, efficiency 0.6, a minute at 200 degC
  ScissionConstants c = scission_constants({});
  c.heat.oxidative_rate = c.heat.thermal_rate = 0;
  Exposure e;
  e.time = 60, e.temperature = 473.15;
  const ChainState before{schulz_chains({}, 60), 3.442e-3}, after = advance(before, e, c);
  CHECK(std::fabs(1000 * averages(after.chains).Mn - 49095) < 1);
  CHECK(after.peroxide == Approx(3.442e-3 * (1 - 0.8963)).epsilon(1e-3));
  CHECK(1000 * advance(averages_of(before), e, c).chains.Mn == Approx(49095).epsilon(1e-5));
}

TEST_CASE("chain scission: peroxide, lost and left, is all accounted for along the screw") {
  ScissionConstants c = scission_constants({});
  c.heat.oxidative_rate = c.heat.thermal_rate = 0;
  Exposure e;
  e.time = 5, e.temperature = 463.15;
  const ChainState inlet = resin(peroxide_feed);
  const std::vector<ChainState> track = advance(inlet, History(6, e), c);
  REQUIRE(track.size() == 6);
  for (const ChainState& s : track)
    CHECK(scissions_of(inlet, s) == Approx(2 * c.peroxide.efficiency * (peroxide_feed - s.peroxide)).epsilon(1e-5));
  for (std::size_t i = 1; i < track.size(); ++i) CHECK(track[i].peroxide < track[i - 1].peroxide);
}

TEST_CASE("chain scission: hotter, faster and lower throughput break polypropylene more in the melt") {
  // Altepeter et al. (2023), Polymers 15, 2181; Albrecht et al. (2025), Polymers 17, 1509: sign of each
  const ScissionConstants c = scission_constants({});
  const auto Mw = [&](double celsius, double rpm, double kg_h) {
    const double classes = averages(advance(resin(), melt(celsius, rpm, kg_h), c).chains).Mw;
    CHECK(advance(averages_of(resin()), melt(celsius, rpm, kg_h), c).chains.Mw == Approx(classes).epsilon(0.1));
    return classes;
  };
  for (const double celsius : {200.0, 230.0, 260.0})
    for (const double rpm : {150.0, 300.0})
      for (const double kg_h : {5.0, 15.0}) {
        CAPTURE(celsius);
        CAPTURE(rpm);
        CAPTURE(kg_h);
        const double here = Mw(celsius, rpm, kg_h);
        CHECK(Mw(celsius + 20, rpm, kg_h) < here);
        CHECK(Mw(celsius, 2 * rpm, kg_h) < here);
        CHECK(Mw(celsius, rpm, 2 * kg_h) > here);
      }
}

TEST_CASE("chain scission: milled cold with peroxide, polypropylene breaks by over 90 % less than in the melt") {
  // Diop & Torkelson (2013), Polymer 54, 4143: maleation, scission per repeat unit, melt at 180 to 220 degC
  const ScissionConstants c = scission_constants({});
  const ChainState before = resin(peroxide_feed);
  const double cold = scissions_of(before, advance(before, milling(303.15, 1e6), c));
  for (const double celsius : {180.0, 200.0, 220.0})
    CHECK(cold < 0.1 * scissions_of(before, advance(before, melt(celsius, 100, 1.5), c)));
  CHECK(cold > 0);
}

TEST_CASE("chain scission: cryogenic milling breaks much less than ambient") {  // PMMA (abstract)
  const ScissionConstants c = scission_constants({});
  const double ambient = scissions_of(resin(), advance(resin(), milling(296.15, 3e6), c));
  CHECK(scissions_of(resin(), advance(resin(), milling(80, 3e6), c)) < 0.3 * ambient);
}

TEST_CASE("chain scission: milling takes the high end of the distribution most") {
  const ChainAverages before = averages(resin().chains);
  const ChainAverages after = averages(advance(resin(), milling(303.15, 2e6), scission_constants({})).chains);
  CHECK(after.Mz / before.Mz < after.Mw / before.Mw);
  CHECK(after.Mw / before.Mw < after.Mn / before.Mn);
  CHECK(after.Mn < before.Mn);
}

TEST_CASE("chain scission: stress in the melt sets the limit, energy the number") {
  const ScissionConstants c = scission_constants({});
  Exposure e = melt(200, 200, 10);
  e.tip_passes = 0;
  const Scission way = scission_ways(e, 0, c)[1];
  CHECK(way.limit == Approx(100 * c.melt_stress / e.stress()).epsilon(1e-12));
  CHECK(way.dose == Approx(e.energy / c.melt_energy / 100).epsilon(1e-12));
  e.viscosity /= 2;  // same energy, half the stress
  CHECK(scission_ways(e, 0, c)[1].limit == Approx(2 * way.limit).epsilon(1e-12));
  CHECK(scission_ways(e, 0, c)[1].dose == Approx(way.dose).epsilon(1e-12));
}

TEST_CASE("chain scission: channel and tips share the melt's energy, solid and melt the whole") {
  const ScissionConstants c = scission_constants({});
  Exposure e = melt(200, 200, 10);
  e.melt_fraction = 0.3, e.temperature = 296.15;
  const std::array<Scission, 4> ways = scission_ways(e, 0, c);
  const double melt_energy = (ways[1].dose + ways[2].dose) * c.melt_energy * 100;
  CHECK(melt_energy == Approx(0.3 * e.energy).epsilon(1e-12));
  CHECK(ways[0].dose * c.solid_energy * 100 == Approx(0.7 * e.energy).epsilon(1e-12));
  CHECK(ways[2].dose > 0);
}

TEST_CASE("chain scission: extremes give numbers, mass kept") {
  const ScissionConstants c = scission_constants({});
  for (const double time : {0.0, 1.0, 1e300})
    for (const double energy : {-1.0, 0.0, 1e5, 1e300})
      for (const double T : {1.0, 300.0, 5000.0})
        for (const double rate : {0.0, 1e-300, 100.0, 1e300}) {
          Exposure e;
          e.time = time, e.energy = energy, e.temperature = T, e.melt_fraction = 0.5;
          e.shear_rate = e.tip_rate = e.viscosity = e.tip_viscosity = rate, e.tip_passes = 10, e.tip_time = 0.01;
          CAPTURE(time);
          CAPTURE(energy);
          CAPTURE(T);
          CAPTURE(rate);
          const ChainState s = advance(resin(peroxide_feed), e, c);
          CHECK(std::accumulate(s.chains.mass.begin(), s.chains.mass.end(), 0.0) == Approx(1).epsilon(1e-12));
          CHECK(s.peroxide >= 0);
          const ChainAverageState m = advance(averages_of(resin(peroxide_feed)), e, c);
          CHECK(m.chains.Mn > 0);
          CHECK(m.chains.Mz < 1e5);
        }
}

TEST_CASE("chain scission: every constant can be fixed, and the struct's defaults are the list's") {
  const ScissionConstants listed = scission_constants({}), plain;
  CHECK(listed.solid_energy == plain.solid_energy);
  CHECK(listed.solid_limit == plain.solid_limit);
  CHECK(listed.solid_activation == plain.solid_activation);
  CHECK(listed.melt_energy == plain.melt_energy);
  CHECK(listed.melt_stress == plain.melt_stress);
  CHECK(listed.width == plain.width);
  CHECK(listed.heat.oxidative_rate == plain.heat.oxidative_rate);
  Coefficients fixed;
  for (const Coefficient& c : chain_scission_coefficients()) {
    CHECK(c.lowest <= c.value);
    CHECK(c.value <= c.highest);
    CHECK_FALSE(c.calibrated);
    fixed.fix(c.name, c.highest);
  }
  const ScissionConstants highest = scission_constants(fixed);
  CHECK(highest.solid_energy == 1e12);
  CHECK(highest.solid_limit == 1000);
  CHECK(highest.solid_activation == 5e4);
  CHECK(highest.melt_energy == 1e12);
  CHECK(highest.melt_stress == 1e9);
  CHECK(highest.width == 5);
}
