#include "structure/particle_size.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

// A polypropylene by the usual figures: softens at 388 K, melt of 9.5 kPa s at 473 K and 40 kJ/mol.
Material resin() {
  Material m;
  m.viscosity = with_arrhenius(cross(9500, 26000, 0.3), 40e3, 473.15);
  m.solid.softening = 388;
  m.solid.yield_T_zero = 433;
  return m;
}
ParticleModel model() { return particle_model(resin(), {}); }

Exposure cold(double T, double energy, double time) {
  Exposure e;
  e.temperature = e.hottest = T;
  e.energy = energy;
  e.time = time;
  e.melt_fraction = 0;
  return e;
}
// n stations at one temperature that share energy and time.
History stations(int n, double T, double energy, double time) { return History(n, cold(T, energy / n, time / n)); }

double d50(const Particles& p) { return quantile(p.solid, 0.5); }
double after(double T, double energy, double time) {
  const ParticleModel m = model();
  return d50(track(granules(m.solid), stations(20, T, energy, time), m).back());
}
double mass(const Particles& p) { return total(p.solid) + total(p.molten); }

}  // namespace

TEST_CASE("particle size: no energy, no time and no melting change nothing, to the last bit") {
  const ParticleModel m = model();
  for (const double T : {200.0, 388.0, 500.0}) {
    const Particles start{rosin_rammler(1e-3, 1), {}};
    const Particles end = advance(start, cold(T, 0, 0), m);
    CHECK(end.solid == start.solid);
    CHECK(end.molten == start.molten);
  }
}
TEST_CASE("particle size: far below softening it is breakage alone, and does not depend on the time") {
  const ParticleModel m = model();
  const Particles start = granules(m.solid);
  const Particles end = advance(start, cold(m.solid.yield_T_ref, 500e3, 60), m);
  const PerSize alone = m.breakage.after(start.solid, 500e3 * brittleness(m, m.solid.yield_T_ref));
  for (int i = 0; i < size_classes; ++i) CHECK(end.solid[i] == Approx(alone[i]).epsilon(1e-2));
  CHECK(after(296, 1e6, 10) == Approx(after(296, 1e6, 120)).epsilon(2e-3));
}
TEST_CASE("particle size: mass is kept to round-off and nothing is negative or no number, at any exposure") {
  const ParticleModel m = model();
  for (const double T : {1.0, 250.0, 388.0, 450.0, 1e4}) {
    for (const double size : {0.0, 1e-300, 1.0, 1e6, 1e300}) {
      for (const double molten : {0.0, 0.3, 1.0}) {
        CAPTURE(T);
        CAPTURE(size);
        CAPTURE(molten);
        Exposure e = cold(T, size, size);
        e.melt_fraction = molten;
        const Particles end = advance(granules(m.solid), e, m);
        CHECK(mass(end) == Approx(1).epsilon(1e-12));
        for (const double x : end.solid) CHECK(x >= 0);
        for (const double x : end.molten) CHECK(x >= 0);
      }
    }
  }
}
TEST_CASE("particle size: more energy in the cold is finer, down the whole curve") {
  double before = 1;
  for (const double energy : {50e3, 200e3, 800e3, 3200e3}) {
    const double now = after(280, energy, 30);
    CHECK(now < before);
    before = now;
  }
}
TEST_CASE("particle size: chilling makes the same energy grind finer, and above softening it grinds no more") {
  // barrel kept below the melting or glass temperature: a review of solid-state pulverization
  const ParticleModel m = model();
  CHECK(after(260, 500e3, 30) < after(300, 500e3, 30));
  CHECK(after(300, 500e3, 30) < after(340, 500e3, 30));
  CHECK(brittleness(m, m.solid.yield_T_ref) == Approx(1).epsilon(1e-6));
  CHECK(brittleness(m, m.solid.softening + 40) < 1e-4);
  CHECK(after(m.solid.softening + 40, 500e3, 0.01) > 0.9 * d50(granules(m.solid)));
}
TEST_CASE("softness: half where powder begins to stick, one width on 1/(1 + 1/e)") {
  const ParticleModel m = model();
  CHECK(softness(m, m.solid.softening) == 0.5);
  CHECK(softness(m, m.solid.softening + m.softening_width) == Approx(1 / (1 + std::exp(-1.0))).epsilon(1e-12));
  CHECK(softness(m, 1.0) < 1e-30);
  CHECK(softness(m, 1e4) == 1);
}
TEST_CASE("fusion: a contact of half the size fuses in half the time (Frenkel 1945)") {
  const ParticleModel m = model();
  CHECK(fusion_rate(m, 400, 50e-6) == Approx(2 * fusion_rate(m, 400, 100e-6)).epsilon(1e-12));
}
TEST_CASE("fusion: rises with temperature, and powder that only waits near softening coarsens with time") {
  const ParticleModel m = model();
  CHECK(fusion_rate(m, 390, 1e-4) > 2 * fusion_rate(m, 380, 1e-4));
  const Particles powder{rosin_rammler(200e-6, 1.2), {}};
  double before = d50(powder);
  for (const double time : {1.0, 5.0, 25.0, 125.0}) {
    const double now = d50(advance(powder, cold(388, 0, time), m));
    CAPTURE(time);
    CHECK(now > before);
    before = now;
  }
}
TEST_CASE("particle size: residence time decides fineness against agglomeration (Chaubey & Arastoopour 2011)") {
  // Stock that warms from 350 to 400 K as it takes up energy: the finest powder leaves between the ends, and further on
  // it is coarser again.
  const ParticleModel m = model();
  History history;
  for (int n = 0; n < 40; ++n) history.push_back(cold(350 + 50.0 * n / 39, 60e3, 2));
  const auto states = track(granules(m.solid), history, m);
  std::size_t finest = 0;
  for (std::size_t n = 0; n < states.size(); ++n)
    if (d50(states[n]) < d50(states[finest])) finest = n;
  CHECK(finest > 5);
  CHECK(finest < 35);
  CHECK(d50(states.back()) > 1.5 * d50(states[finest]));
}
TEST_CASE("particle size: a second pass narrows the range of sizes (Bilgili, Arastoopour & Bernstein 2000)") {
  const ParticleModel m = model();
  const History pass = stations(20, 310, 800e3, 40);
  const Particles first = track(granules(m.solid), pass, m).back();
  const Particles second = track(first, pass, m).back();
  const SizeSummary one = summary(first.solid).value(), two = summary(second.solid).value();
  CHECK(two.d90 - two.d10 < one.d90 - one.d10);
  CHECK(two.d90 < one.d90);
}
TEST_CASE("melting: what is molten leaves the particles and keeps the size it melted at") {
  const ParticleModel m = model();
  const Particles ground = track(granules(m.solid), stations(10, 300, 1e6, 20), m).back();
  Exposure e = cold(430, 0, 0);
  e.melt_fraction = 0.25;
  const Particles quarter = advance(ground, e, m);
  CHECK(total(quarter.solid) == Approx(0.75).epsilon(1e-13));
  CHECK(total(quarter.molten) == Approx(0.25).epsilon(1e-13));
  CHECK(quantile(quarter.molten, 0.5) == Approx(d50(ground)).epsilon(1e-9));
  e.melt_fraction = 0.1;  // a colder station freezes no particles out
  CHECK(advance(quarter, e, m).solid == quarter.solid);
  e.melt_fraction = 1;
  const Particles none = advance(quarter, e, m);
  CHECK(none.solid == PerSize{});
  CHECK_FALSE(summary(none.solid).has_value());
  CHECK(quantile(none.molten, 0.5) == Approx(d50(ground)).epsilon(1e-9));
}
TEST_CASE("particle size: station by station as one at constant temperature") {  // time step of breakage against fusion
  const ParticleModel m = model();
  const Particles one = advance(granules(m.solid), cold(360, 1e6, 40), m);
  const Particles many = track(granules(m.solid), stations(40, 360, 1e6, 40), m).back();
  CHECK(d50(one) == Approx(d50(many)).epsilon(0.1));
}
TEST_CASE(
    "particle size coefficients: defaults lie in their ranges, a fixed one acts, and none claims a published value") {
  for (const Coefficient& c : particle_size_coefficients()) {
    CAPTURE(c.name);
    CHECK(c.value >= c.lowest);
    CHECK(c.value <= c.highest);
    CHECK(c.uncertainty > 0);
    CHECK_FALSE(c.calibrated);
    CHECK(c.basis.starts_with("uncalibrated: "));
  }
  Coefficients hard;
  hard.fix("breakage_energy", 2e6);
  const ParticleModel tough = particle_model(resin(), hard);
  const Particles end = advance(granules(tough.solid), cold(296, 1e6, 1), tough);
  CHECK(d50(end) > 2 * after(296, 1e6, 1));
}
