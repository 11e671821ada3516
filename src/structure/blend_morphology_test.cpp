#include "structure/blend_morphology.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <numbers>
#include <random>

#include "structure/drop_breakup.hpp"

using doctest::Approx;
using namespace quern;
using std::numbers::pi;

namespace {

Exposure sheared(double time, double rate) { return {.time = time, .temperature = 473.15, .shear_rate = rate}; }

PhaseLaw newtonian_phases(double matrix, double lambda) {
  return [=](double, double) { return PhaseViscosities{matrix, lambda * matrix}; };
}

BlendParameters without_merging() {
  BlendParameters p = blend_parameters({});
  p.collisions = 0;
  return p;
}

// Radius by many small explicit steps of a rate of ln R per strain.
template <class Rate>
double in_small_steps(double R, double strain, const Rate& rate) {
  const int n = 200000;
  const double h = strain / n;
  for (int i = 0; i < n; ++i) R *= std::exp(h * rate(R * std::exp(h / 2 * rate(R))));
  return R;
}

}  // namespace

TEST_CASE("blend: coefficients have defaults within their ranges, and a fixed one is taken") {
  for (const Coefficient& c : blend_morphology_coefficients()) {
    CAPTURE(c.name);
    CHECK(c.lowest <= c.value);
    CHECK(c.value <= c.highest);
    CHECK(c.calibrated == !c.basis.starts_with("uncalibrated"));
  }
  Coefficients fixed;
  fixed.fix("interfacial_tension", 2);
  fixed.fix("critical_film", 10e-9);
  CHECK(blend_parameters(fixed).tension == Approx(2e-3));
  CHECK(blend_parameters(fixed).film == 10e-9);
  CHECK(blend_parameters({}).tension == Approx(5e-3));
}

TEST_CASE("blend: no time and no shear change nothing, to the last digit") {
  const BlendState inlet = blend_inlet(0.2, 3e-3);
  const auto law = newtonian_phases(500, 1);
  for (const Exposure& station : {sheared(0, 100), sheared(100, 0), sheared(0, 0)}) {
    const BlendState after = advance(inlet, station, law, blend_parameters({}));
    CHECK(after.stepwise == inlet.stepwise);
    CHECK(after.transient == inlet.transient);
  }
  Exposure frozen = sheared(100, 100);
  frozen.melt_fraction = 0;
  CHECK(advance(inlet, frozen, law, blend_parameters({})).stepwise == inlet.stepwise);
}

// Grace (1982), Chem. Eng. Commun. 14, 225: above a ratio of about 4 steady shear breaks nothing, elongation does.
TEST_CASE("blend: drops five times as viscous as the matrix pass any shear unbroken, and break in elongation") {
  const BlendState inlet = blend_inlet(0.2, 1e-3);
  const auto law = newtonian_phases(500, 5);
  BlendParameters p = without_merging();
  const BlendState sheared_only = advance(inlet, sheared(1000, 1000), law, p);
  CHECK(sheared_only.stepwise == inlet.stepwise);
  CHECK(sheared_only.transient == inlet.transient);
  p.elongation_share = 0.1;
  CHECK(advance(inlet, sheared(1000, 1000), law, p).stepwise.diameter < 1e-6);
}

// Largest stable diameters at 500 Pa s, 100 1/s, 5 mN/m from de Bruijn's fit, worked out by hand.
TEST_CASE("blend: enough shear brings drops to the critical size and no further") {
  for (const auto& [lambda, diameter] : {std::pair{0.1, 0.12298e-6}, {1.0, 0.09624e-6}, {3.0, 0.43352e-6}}) {
    CAPTURE(lambda);
    const BlendState fine =
        advance(blend_inlet(0.2, 1e-3), sheared(1e4, 100), newtonian_phases(500, lambda), without_merging());
    CHECK(fine.stepwise.diameter == Approx(diameter).epsilon(1e-4));
    CHECK_FALSE(fine.stepwise.thread);
  }
}

TEST_CASE("blend: splitting from three times the critical size, against small steps of its rate") {
  const double critical = 0.09624e-6 / 2, strain = 50;
  const auto law = newtonian_phases(500, 1);
  const BlendState after = advance(blend_inlet(0.1, 6 * critical), sheared(strain / 100, 100), law, without_merging());
  const double expected = in_small_steps(3 * critical, strain, [&](double R) {
    const double ratio = R / critical;
    return -std::log(2.0) / 3 / (split_time(1, ratio) * ratio);
  });
  CHECK(after.stepwise.radius == Approx(expected).epsilon(1e-4));
  CHECK(after.transient.radius == after.stepwise.radius);
}

TEST_CASE("blend: a coarse drop is drawn out as the melt stretches") {
  BlendParameters p = without_merging();
  p.stretching = 0.1;
  const BlendState after = advance(blend_inlet(0.1, 2e-3), sheared(0.5, 100), newtonian_phases(500, 1), p);
  for (const Dispersed& d : {after.stepwise, after.transient}) {
    CHECK(d.thread);
    CHECK(d.radius == Approx(1e-3 * std::exp(-0.1 * 50 / 2)).epsilon(1e-12));
    CHECK(d.number == Approx(0.1 / (pi / 6 * 8e-9)).epsilon(1e-12));
  }
}

TEST_CASE("blend: a thread that thins breaks when its ripples have grown through it, against small steps in time") {
  const BlendParameters p = without_merging();
  const double eta = 500, rate = 50, lambda = 0.5, r0 = 50e-6, G = p.stretching * rate, h = 1e-5;
  const ThreadBreakup fastest = fastest_ripple(lambda);
  double r = r0, growth = 0;
  while (growth < std::log(0.81 * r / thermal_ripple(473.15, p.tension))) {
    growth += h * p.tension * fastest.growth / (2 * eta * r);
    r *= std::exp(-G / 2 * h);
  }
  const double broken = 2 / G * std::log(r0 / r);
  const auto law = newtonian_phases(eta, lambda);
  const Dispersed before = advance(blend_inlet(0.1, 2 * r0), sheared(broken - 0.02, rate), law, p).transient;
  const Dispersed after = advance(blend_inlet(0.1, 2 * r0), sheared(broken + 0.001, rate), law, p).transient;
  CHECK(before.thread);
  CHECK_FALSE(after.thread);
  CHECK(after.radius == Approx(fastest.drop_ratio() * r).epsilon(1e-3));
}

// Tomotika (1935): drops of 2.03 thread diameters at equal viscosities.
TEST_CASE("blend: a thread left at rest falls into drops twice as wide") {
  const auto law = newtonian_phases(500, 1);
  const BlendParameters p = without_merging();
  const BlendState drawn = advance(blend_inlet(0.1, 100e-6), sheared(0.8, 100), law, p);
  REQUIRE(drawn.transient.thread);
  const BlendState rested = advance(drawn, sheared(1e4, 0), law, p);
  CHECK_FALSE(rested.transient.thread);
  CHECK(rested.transient.radius == Approx(2.032 * drawn.transient.radius).epsilon(5e-4));
  CHECK(rested.transient.diameter == Approx(drawn.transient.diameter).epsilon(1e-12));
}

// Janssen & Meijer (1993), J. Rheol. 37, 597 (abstract), whose melts were stretched well: 0.3 of the strain here.
TEST_CASE("blend: threads that break while they thin give finer drops than splitting, finer for more viscous ones") {
  BlendParameters p = without_merging();
  p.stretching = 0.3;
  double before = 1;
  for (const double lambda : {0.1, 0.3, 0.6, 1.2, 2.4, 3.5}) {
    CAPTURE(lambda);
    const BlendState fine = advance(blend_inlet(0.1, 1e-3), sheared(60, 30), newtonian_phases(300, lambda), p);
    CHECK(fine.transient.diameter < fine.stepwise.diameter);
    CHECK(fine.transient.diameter < before);
    before = fine.transient.diameter;
  }
}

TEST_CASE("blend: melts that are stretched little come to the same drops by both routes") {
  BlendParameters p = without_merging();
  p.stretching = 0.03;
  const BlendState fine = advance(blend_inlet(0.1, 1e-3), sheared(300, 30), newtonian_phases(300, 0.3), p);
  CHECK(fine.transient.diameter == Approx(fine.stepwise.diameter).epsilon(1e-9));
}

TEST_CASE("blend: less interfacial tension and more stress give finer drops") {
  const auto settled = [](double tension, double eta) {
    BlendParameters p = without_merging();
    p.tension = tension;
    return advance(blend_inlet(0.1, 1e-3), sheared(1e4, 100), newtonian_phases(eta, 1), p).stepwise.diameter;
  };
  CHECK(settled(1e-3, 500) == Approx(settled(5e-3, 500) / 5).epsilon(1e-9));
  CHECK(settled(5e-3, 1000) == Approx(settled(5e-3, 500) / 2).epsilon(1e-9));
}

// Smoluchowski (1917), Z. Phys. Chem. 92, 129: 8φγ̇/π collisions of each sphere, so the number falls with 4φγ̇/π.
TEST_CASE("blend: drops that merge at every collision grow as Smoluchowski's spheres in shear") {
  const double share = 0.1, strain = 30;
  BlendParameters p = blend_parameters({});
  p.film = 1;  // bursts at once
  const BlendState after = advance(blend_inlet(share, 20e-9), sheared(strain, 1), newtonian_phases(500, 1), p);
  const double number = 0.1 / (pi / 6 * 8e-24) * std::exp(-4 * share * strain / pi);
  CHECK(after.stepwise.number == Approx(number).epsilon(1e-6));
}

TEST_CASE("merging: closed form against small steps of its rate") {
  for (const double y0 : {1e-6, 1e-3, 0.1, 1.0, 5.0}) {
    for (const double dose : {0.01, 1.0, 30.0}) {
      CAPTURE(y0);
      CAPTURE(dose);
      const double expected =
          in_small_steps(1.0, dose, [&](double R) { return std::exp(-y0 * std::pow(R, 2.5)) / 2.5; });
      CHECK(growth_by_merging(y0, dose) == Approx(expected).epsilon(1e-5));
    }
  }
  CHECK(growth_by_merging(0, 1) == Approx(std::exp(0.4)).epsilon(1e-12));
  CHECK(growth_by_merging(1, 0) == 1);
  CHECK(growth_by_merging(50, 1) == Approx(1));
}

TEST_CASE("blend: drops from above and from below settle at one size, coarser the more of them there are") {
  const auto law = newtonian_phases(500, 0.01);
  const BlendParameters p = blend_parameters({});
  double before = 0;
  for (const double share : {0.01, 0.1, 0.3}) {
    CAPTURE(share);
    const Exposure long_shear = sheared(1e5, 10);
    const double from_coarse = advance(blend_inlet(share, 1e-3), long_shear, law, p).stepwise.diameter;
    const double from_fine = advance(blend_inlet(share, 1e-7), long_shear, law, p).stepwise.diameter;
    CHECK(from_coarse >= from_fine);
    CHECK(from_coarse == Approx(from_fine).epsilon(0.05));
    CHECK(from_coarse >= before);
    before = from_coarse;
  }
}

TEST_CASE("blend: a station cut in two does the same as the whole") {
  const auto law = newtonian_phases(400, 0.7);
  const BlendParameters p = blend_parameters({});
  for (const double diameter : {1e-3, 20e-6, 1e-6, 0.05e-6}) {
    CAPTURE(diameter);
    const BlendState inlet = blend_inlet(0.2, diameter);
    const BlendState whole = advance(inlet, sheared(3, 40), law, p);
    const auto cut = advance(inlet, History{sheared(1.1, 40), sheared(1.9, 40)}, law, p);
    REQUIRE(cut.size() == 2);
    CHECK(cut[1].stepwise.radius == Approx(whole.stepwise.radius).epsilon(1e-9));
    CHECK(cut[1].transient.radius == Approx(whole.transient.radius).epsilon(1e-9));
    CHECK(cut[1].transient.growth == Approx(whole.transient.growth).epsilon(1e-9));
  }
}

TEST_CASE("blend: tips make finer drops than the channel, where stress is higher") {
  const auto law = newtonian_phases(500, 1);
  Exposure station = sheared(100, 20);
  const double without = advance(blend_inlet(0.1, 1e-3), station, law, without_merging()).stepwise.diameter;
  station.tip_passes = 2000, station.tip_rate = 400, station.tip_time = 0.02;
  const double with = advance(blend_inlet(0.1, 1e-3), station, law, without_merging()).stepwise.diameter;
  CHECK(with == Approx(without / 20).epsilon(1e-9));
}

TEST_CASE("blend: whatever happens, the phase's share is kept and no figure is lost") {
  std::mt19937 random(7);
  const auto any = [&](std::initializer_list<double> of) { return of.begin()[random() % of.size()]; };
  for (int i = 0; i < 4000; ++i) {
    CAPTURE(i);
    BlendParameters p = blend_parameters({});
    p.tension = any({5e-5, 5e-3, 0.1});
    p.stretching = any({0, 1e-6, 0.05, 1});
    p.elongation_share = any({0, 0, 1});
    p.film = any({0.5e-9, 5e-9, 1e-6});
    const double share = any({0, 1e-6, 0.2, 1});
    BlendState blend = blend_inlet(share, any({0, 1e-8, 1e-6, 3e-3, 1}));
    for (int station = 0; station < 5; ++station) {
      Exposure e = sheared(any({0, 1e-9, 1, 1e3, 1e300}), any({0, 1e-12, 10, 1e4, 1e300}));
      e.temperature = any({0, 300, 5000});
      e.tip_passes = any({0, 3, 1e6}), e.tip_rate = any({0, 500, 1e300}), e.tip_time = any({0, 0.01});
      blend = advance(blend, e, newtonian_phases(any({0, 1e-300, 1, 1e4, 1e300}), any({1e-9, 1, 3, 1e9})), p);
      for (const Dispersed& d : {blend.stepwise, blend.transient}) {
        CHECK(std::abs(d.share() - share) <= 1e-13 * share);
        CHECK(std::isfinite(d.number + d.volume + d.radius + d.diameter + d.growth));
        CHECK(d.radius > 0);
        CHECK(d.diameter > 0);
      }
    }
  }
}
