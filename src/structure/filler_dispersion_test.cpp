#include "structure/filler_dispersion.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <random>

using doctest::Approx;
using namespace quern;

namespace {

FillerParameters only_rupture() { return {50e3, 1e-6, 1, 0.01, 0}; }
FillerParameters only_erosion() { return {50e3, 1e-6, 0, 0, 1e-3}; }

Exposure passes(double n, double stress) {
  return {.tip_passes = n, .tip_rate = 100, .tip_viscosity = stress / 100, .tip_time = 0.01};
}
Exposure sheared(double strain, double stress) {
  return {.time = strain / 100, .shear_rate = 100, .viscosity = stress / 100};
}

double all(const Agglomerates& a) { return a.undispersed() + a.dispersed; }

}  // namespace

TEST_CASE("filler: coefficients have defaults within their ranges, none of them calibrated") {
  for (const Coefficient& c : filler_dispersion_coefficients()) {
    CAPTURE(c.name);
    CHECK(c.lowest <= c.value);
    CHECK(c.value <= c.highest);
    CHECK(c.calibrated == !c.basis.starts_with("uncalibrated"));
  }
  Coefficients fixed;
  fixed.fix("agglomerate_strength", 1e5);
  fixed.fix("erosion_rate", 0);
  CHECK(filler_parameters(fixed).strength == 1e5);
  CHECK(filler_parameters(fixed).erosion == 0);
}

TEST_CASE("spheres: hand-worked force of shear against attraction") {
  CHECK(separating_force(1000, 100, 0.5e-6) == Approx(2.3562e-7).epsilon(1e-5));
  CHECK(sphere_attraction(1e-19, 0.5e-6, 1e-9) == Approx(4.1667e-9).epsilon(1e-5));
}

TEST_CASE("strength by Rumpf: finer spheres hold together better, in proportion to 1/d") {
  const auto strength = [](double d) { return rumpf_strength(0.5, sphere_attraction(1e-19, d / 2, 1e-9), d); };
  CHECK(strength(1e-6) == Approx(1.1 * 4.1667e-9 / 1e-12).epsilon(1e-4));
  CHECK(strength(30e-9) == Approx(strength(1e-6) / 0.03).epsilon(1e-12));
}

TEST_CASE("orientations: none at the strength, half far above it, and as counted among random directions") {
  CHECK(share_of_orientations(0.5) == 0);
  CHECK(share_of_orientations(1) == 0);
  CHECK(share_of_orientations(1e12) == Approx(0.5).epsilon(1e-3));
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  for (const double s : {1.05, 1.5, 4.0, 50.0}) {
    CAPTURE(s);
    const int n = 400000;
    int broken = 0;
    for (int i = 0; i < n; ++i) {
      const double x = normal(random), y = normal(random), z = normal(random);
      broken += 2 * x * y / (x * x + y * y + z * z) > 1 / s;
    }
    CHECK(share_of_orientations(s) == Approx(broken / double(n)).epsilon(0.03));
  }
}

TEST_CASE("filler: no time and no passes change nothing, to the last digit; nor does stress below the strength break") {
  const Agglomerates feed = agglomerate_feed(200e-6, 2);
  const FillerParameters p = filler_parameters({});
  CHECK(advance(feed, Exposure{}, p) == feed);
  CHECK(advance(feed, sheared(0, 1e6), p) == feed);
  CHECK(advance(feed, sheared(1e4, 49e3), only_rupture()) == feed);
  CHECK(advance(feed, passes(1e4, 49e3), only_rupture()) == feed);
}

TEST_CASE("filler: a log-normal feed has its median and its spread") {
  const Agglomerates feed = agglomerate_feed(100e-6, 1.8);
  CHECK(all(feed) == Approx(1).epsilon(1e-14));
  for (const int i : {2, 7, 12}) {  // down to the lower bound of class i
    const double bound = feed.diameter(i) * std::exp2(-1 / 6.0);
    const double expected = std::erfc(std::log(bound / 100e-6) / std::log(1.8) / std::sqrt(2.0)) / 2;
    CHECK(feed.coarser(0.999 * feed.diameter(i)) == Approx(expected).epsilon(1e-12));
  }
  // mean of a log-normal, exp(ln²g/2) over the median; classes of a third of an octave
  CHECK(feed.mean_diameter() == Approx(100e-6 * std::exp(std::pow(std::log(1.8), 2) / 2)).epsilon(0.01));
  CHECK(agglomerate_feed(100e-6).mean_diameter() == 100e-6);
}

TEST_CASE("filler: the share that comes through passes whole is e^-(passes x share of orientations)") {
  const Agglomerates feed = agglomerate_feed(100e-6), after = advance(feed, passes(7, 200e3), only_rupture());
  const double mean = 7 * share_of_orientations(4);
  CHECK(after.mass[0] == Approx(std::exp(-mean)).epsilon(1e-12));
  CHECK(after.mass[2] == Approx(std::exp(-mean) * mean * mean / 2).epsilon(1e-12));
  CHECK(all(after) == Approx(1).epsilon(1e-14));
}

TEST_CASE("filler: rupture halves the volume, so three in a row halve the diameter") {
  const Agglomerates feed = agglomerate_feed(100e-6);
  CHECK(feed.diameter(3) == Approx(50e-6).epsilon(1e-14));
  CHECK(feed.diameter(Agglomerates::classes - 1) < 1.01e-4 * feed.coarsest);
}

// Rwei, Manas-Zloczower & Feke (1991): (R0 - R)/R0 = 1 - exp(-β γ̇ t).
TEST_CASE("filler: eroded radius falls exponentially over strain, and what is shed is dispersed") {
  const Agglomerates after = advance(agglomerate_feed(100e-6), sheared(200, 50e3), only_erosion());
  CHECK(after.mean_diameter() == Approx(100e-6 * std::exp(-0.2)).epsilon(1e-12));
  CHECK(after.undispersed() == Approx(std::exp(-0.6)).epsilon(1e-12));
  CHECK(after.dispersed == Approx(1 - std::exp(-0.6)).epsilon(1e-12));
}

TEST_CASE("filler: a station cut in two does the same as the whole") {
  const FillerParameters p = filler_parameters({});
  const Agglomerates feed = agglomerate_feed(500e-6, 1.5), whole = advance(feed, sheared(300, 120e3), p);
  const auto cut = advance(feed, History{sheared(100, 120e3), sheared(200, 120e3)}, p);
  REQUIRE(cut.size() == 2);
  CHECK(cut[1].undispersed() == Approx(whole.undispersed()).epsilon(1e-12));
  CHECK(cut[1].mean_diameter() == Approx(whole.mean_diameter()).epsilon(1e-12));
}

TEST_CASE("filler: in the end all is dispersed") {
  CHECK(advance(agglomerate_feed(1e-3), passes(1e6, 1e6), only_rupture()).dispersed == Approx(1).epsilon(1e-12));
  CHECK(advance(agglomerate_feed(1e-3), sheared(1e6, 1e6), only_erosion()).dispersed == Approx(1).epsilon(1e-12));
  CHECK(advance(agglomerate_feed(0.9e-6), sheared(1, 1), only_erosion()).dispersed == 1);
}

// Masuda & Torkelson (2008), Macromolecules 41, 5974 (abstract): agglomerates of nanotubes are sharply reduced by
// pulverizing in the solid state.
TEST_CASE("filler: stress on cold granules breaks agglomerates that the melt's cannot") {
  Exposure cold = passes(10, 20e3);
  cold.granule_stress = 10e6;
  const Agglomerates feed = agglomerate_feed(100e-6);
  CHECK(advance(feed, cold, only_rupture()) == feed);
  cold.melt_fraction = 0;
  CHECK(advance(feed, cold, only_rupture()).mass[0] < 0.02);
}

TEST_CASE("filler: more stress, more passes and weaker agglomerates leave less undispersed") {
  const Agglomerates feed = agglomerate_feed(20e-6, 1.5);
  const auto left = [&](double n, double stress, double strength) {
    FillerParameters p = only_rupture();
    p.strength = strength;
    return advance(feed, passes(n, stress), p).undispersed();
  };
  CHECK(left(30, 100e3, 50e3) < left(20, 100e3, 50e3));
  CHECK(left(20, 200e3, 50e3) < left(20, 100e3, 50e3));
  CHECK(left(20, 100e3, 20e3) < left(20, 100e3, 50e3));
}

TEST_CASE("filler: whatever happens, its mass is kept and no figure is lost") {
  std::mt19937 random(3);
  const auto any = [&](std::initializer_list<double> of) { return of.begin()[random() % of.size()]; };
  for (int i = 0; i < 3000; ++i) {
    CAPTURE(i);
    Agglomerates filler = agglomerate_feed(any({0, 1e-9, 50e-6, 1}), any({1, 1.5, 1e6}));
    for (int station = 0; station < 4; ++station) {
      Exposure e = sheared(any({0, 1, 1e6, 1e200}), any({0, 1e3, 1e6, 1e150}));
      e.tip_passes = any({0, 0.3, 20, 1e9}), e.tip_rate = any({0, 500, 1e100}), e.tip_time = any({0, 0.01});
      e.tip_viscosity = any({0, 100, 1e100}), e.granule_stress = any({0, 1e8}), e.melt_fraction = any({0, 0.3, 1});
      filler = advance(filler, e, filler_parameters({}));
      CHECK(std::abs(all(filler) - 1) < 1e-13);
      for (const double m : filler.mass) CHECK(m >= 0);
      CHECK(std::isfinite(filler.mean_diameter()));
    }
  }
}
