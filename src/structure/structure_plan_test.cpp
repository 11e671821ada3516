#include "structure/structure_plan.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <set>

using namespace quern;
using doctest::Approx;

namespace {

Material polymer() {
  Material m;
  m.name = "resin", m.family = "polypropylene", m.degradation_guide = 500;
  m.viscosity = newtonian(300);
  m.solid.size = 4e-3;
  return m;
}

/// Two cold stations, a melting one, a molten one.
History line(double scale = 1) {
  History h;
  for (int i = 0; i < 4; ++i) {
    Exposure e;
    e.position = 0.1 * (i + 1), e.length = 0.1, e.time = 10 * scale, e.energy = 2e5 * scale;
    e.temperature = e.hottest = i < 2 ? 280 : 480;
    e.melt_fraction = i < 2 ? 0 : i == 2 ? 0.5 : 1;
    e.shear_rate = 100, e.viscosity = 300, e.fill = 1;
    h.push_back(e);
  }
  return h;
}

ParcelEnsemble alike(std::size_t count, double scale = 1) {
  return {count, [scale](std::size_t) { return line(scale); }};
}
/// The second half of the parcels lives through twice what the first does.
ParcelEnsemble unlike(std::size_t count) {
  return {count, [count](std::size_t i) { return line(i < count / 2 ? 1 : 2); }};
}

StructurePlan plan_of(const Material& material) {
  StructurePlan plan;
  plan.streams.push_back({material, 1, material.solid.size});
  return plan;
}
StructurePlan full_plan() {
  StructurePlan plan = plan_of(polymer());
  Material minor = polymer(), talc;
  minor.name = "minor", minor.viscosity = newtonian(100);
  talc.name = "talc", talc.state = State::filler;
  plan.streams.push_back({minor, 0.2, 3e-3}), plan.streams.push_back({talc, 0.1, 1e-5});
  plan.chains = ChainPlan{.Mn = 60, .dispersity = 5};
  plan.blend = BlendPlan{.stream = 1, .start = 3e-3};
  plan.filler = FillerPlan{.stream = 2, .size = 1e-4};
  plan.platelets = PlateletPlan{.stream = 2, .stack = 50};
  plan.volatiles = VolatilePlan{.substance = volatiles().front(), .content = 1e-3};
  return plan;
}

const StructureModel* model(const Structure& s, std::string_view name) {
  const auto found = std::ranges::find(s.models, name, &StructureModel::name);
  return found == s.models.end() ? nullptr : &*found;
}
const StructureFigure& figure(const Structure& s, std::string_view of, std::string_view name) {
  const StructureModel* m = model(s, of);
  REQUIRE(m != nullptr);
  const auto found = std::ranges::find(m->figures, name, &StructureFigure::name);
  REQUIRE(found != m->figures.end());
  return *found;
}

}  // namespace

TEST_CASE("structure: names of coefficients are unique, and defaults lie in their ranges") {
  std::set<std::string_view> names;
  for (const Coefficient& c : all_coefficients()) {
    CAPTURE(c.name);
    CHECK(names.insert(c.name).second);
    CHECK(c.value >= c.lowest);
    CHECK(c.value <= c.highest);
    CHECK(c.calibrated == !c.basis.starts_with("uncalibrated"));
  }
}
TEST_CASE("structure: every model runs when it has what it needs, else it is left out and says why") {
  const Structure full = structure_of(full_plan(), line(), alike(4), {});
  CHECK(full.left_out.empty());
  CHECK(full.models.size() == 7);
  const Structure bare = structure_of(plan_of(polymer()), line(), alike(4), {});
  CHECK(model(bare, "particle_size") != nullptr);
  CHECK(model(bare, "heat") != nullptr);
  CHECK(bare.models.size() + bare.left_out.size() == 7);
  for (const LeftOut& l : bare.left_out) CHECK_FALSE(l.why.empty());
  Material liquid = polymer();
  liquid.state = State::liquid, liquid.degradation_guide.reset();
  CHECK(structure_of(plan_of(liquid), line(), alike(4), {}).models.empty());
}
TEST_CASE("structure: parcels that are all alike end as the mean parcel does, without spread") {
  const Structure s = structure_of(full_plan(), line(), alike(7), {});
  for (const StructureModel& m : s.models)
    for (const StructureFigure& f : m.figures) {
      if (!f.end) continue;
      CAPTURE(m.name);
      CAPTURE(f.name);
      CHECK(f.end->mean == Approx(f.along.back()).epsilon(1e-12));
      CHECK(f.end->p95 == Approx(f.end->p5).epsilon(1e-12));
    }
  CHECK(s.treatment.time.mean == Approx(40));
  CHECK(s.treatment.energy.mean == Approx(8e5));
  CHECK(s.mean_time == Approx(40));
  CHECK(s.treatment.undertreated == 0);
}
TEST_CASE("structure: what must be kept is kept in every model") {
  for (const StructureModel& m : structure_of(full_plan(), line(), unlike(20), {}).models) {
    CAPTURE(m.name);
    CHECK(m.balance < 1e-9);
  }
}
TEST_CASE("structure: unequal parcels spread, and both halves show in P5 and P95") {
  const Structure s = structure_of(full_plan(), line(), unlike(40), {});
  CHECK(s.treatment.time.p5 == Approx(40));
  CHECK(s.treatment.time.p95 == Approx(80));
  const Statistics& dose = *figure(s, "heat", "dose").end;
  CHECK(dose.p95 == Approx(2 * dose.p5).epsilon(1e-9));  // twice the time at the same temperatures
  const Statistics& Mw = *figure(s, "chains", "Mw").end;
  CHECK(Mw.p5 < Mw.p95);
  CHECK(Mw.p95 < *figure(s, "chains", "Mw").inlet);
}
TEST_CASE("structure: no time and no energy leave chains, drops, filler and volatile as they were fed") {
  const auto still = [] {
    History h = line(0);
    for (Exposure& e : h) e.temperature = e.hottest = 280, e.melt_fraction = 0;
    return h;
  };
  const Structure s = structure_of(full_plan(), still(), {3, [&](std::size_t) { return still(); }}, {});
  for (const auto& [of, name] : {std::pair{"chains", "Mw"},
                                 {"chains", "Mn"},
                                 {"blend", "stepwise_diameter"},
                                 {"filler", "undispersed"},
                                 {"platelets", "singles"},
                                 {"volatile", "content"}}) {
    const StructureFigure& f = figure(s, of, name);
    CHECK(f.along.back() == *f.inlet);
    CHECK(f.end->mean == *f.inlet);
  }
}
TEST_CASE("structure: a model is for comparing only until its uncalibrated coefficients are fixed") {
  const StructurePlan plan = plan_of(polymer());
  const Structure s = structure_of(plan, line(), alike(2), {});
  CHECK_FALSE(model(s, "particle_size")->calibrated());
  CHECK(model(s, "particle_size")->basis().starts_with("relative to another trial only"));
  CHECK(model(s, "particle_size")->basis().find("breakage_energy") != std::string::npos);
  CHECK(model(s, "heat")->calibrated());
  Coefficients fixed;
  for (const UsedCoefficient& c : model(s, "particle_size")->coefficients) fixed.fix(c.coefficient->name, c.value);
  CHECK(model(structure_of(plan, line(), alike(2), fixed), "particle_size")->calibrated());
}
TEST_CASE("structure: nitrogen spares chains what air breaks") {
  StructurePlan air = full_plan(), nitrogen = full_plan();
  nitrogen.chains->nitrogen = true;
  const auto Mw = [](const StructurePlan& plan) {
    return figure(structure_of(plan, line(), alike(2), {}), "chains", "Mw").end->mean;
  };
  CHECK(Mw(nitrogen) > Mw(air));
}
