#include "io/material_library.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <set>
#include <string>

using namespace quern;

namespace {

/// The temperatures at which a polymer is worked as a melt.
double lowest_melt(const Material& m) { return m.thermal.T_melt + 10; }
double highest_melt(const Material& m) { return m.degradation_guide.value(); }

}  // namespace

TEST_CASE("library: holds at least 12 polymers and 6 fillers, each name once") {
  const auto& all = material_library();
  const auto fillers = std::ranges::count(all, State::filler, &Material::state);
  CHECK(fillers >= 6);
  CHECK(static_cast<std::ptrdiff_t>(all.size()) - fillers >= 12);
  std::set<std::string> names;
  for (const Material& m : all) CHECK(names.insert(m.name).second);
}

TEST_CASE("library: a material is found by its name, and only by it") {
  CHECK(library_material("polypropylene, extrusion grade") != nullptr);
  CHECK(library_material("talc") != nullptr);
  CHECK(library_material("Talc") == nullptr);
}

TEST_CASE("library: every number tells where it came from") {
  for (const Material& m : material_library()) {
    CAPTURE(m.name);
    CHECK(m.provenance.size() >= (m.state == State::filler ? 9 : 20));
    for (const Provenance& p : m.provenance) {
      CAPTURE(p.field);
      const bool is_told = p.source.starts_with("value from memory") || p.source == "amorphous" ||
                           p.source.find("read in") != std::string::npos;
      CHECK(is_told);
    }
  }
}

TEST_CASE("library: viscosity falls with rate and with temperature, and stays what a melt can have") {
  for (const Material& m : material_library()) {
    if (m.state != State::melting) continue;
    CAPTURE(m.name);
    for (double T = lowest_melt(m); T < highest_melt(m); T += 10)
      for (double rate = 0.01; rate < 1e5; rate *= 10) {
        const double eta = viscosity(m.viscosity, rate, T);
        CHECK(eta > 0.5);
        CHECK(eta < 1e7);
        CHECK(viscosity(m.viscosity, rate * 10, T) < eta);
        CHECK(viscosity(m.viscosity, rate, T + 10) < eta);
        CHECK(viscosity(m.viscosity, rate, T, 1e7) >= eta);
      }
  }
}

TEST_CASE("library: no viscosity is carried on into the solid or to the pole of its shift") {
  for (const Material& m : material_library()) {
    if (m.state != State::melting) continue;
    CAPTURE(m.name);
    CHECK(m.viscosity.T_floor > m.thermal.T_melt - 60);
    CHECK(m.viscosity.T_floor < m.thermal.T_melt);
    CHECK(viscosity(m.viscosity, 1, 200) == viscosity(m.viscosity, 1, m.viscosity.T_floor));
  }
}

TEST_CASE("library: a melt is lighter than its granule, expands on heating and packs under pressure") {
  for (const Material& m : material_library()) {
    if (m.state != State::melting) continue;
    CAPTURE(m.name);
    for (double T = lowest_melt(m); T < highest_melt(m); T += 10) {
      const double rho = density(m.density, T);
      CHECK(rho > 600);
      CHECK(rho < m.solid.density);
      CHECK(density(m.density, T + 10) < rho);
      CHECK(density(m.density, T, 3e7) >= rho);
      // Melts expand by 4e-4 to 10e-4 1/K (common practice, no source).
      CHECK(1 - density(m.density, T + 10) / rho > 3e-3);
      CHECK(1 - density(m.density, T + 10) / rho < 12e-3);
    }
  }
}

TEST_CASE("library: densities, bulk densities and packings are in order") {
  for (const Material& m : material_library()) {
    CAPTURE(m.name);
    const double solid = m.state == State::filler ? m.density.rho : m.solid.density;
    CHECK(solid > 850);
    CHECK(solid < 5000);
    CHECK(m.solid.density == doctest::Approx(solid).epsilon(1e-12));
    CHECK(m.solid.bulk_loose < m.solid.bulk_compacted);
    CHECK(m.solid.bulk_compacted < 0.75 * solid);  // grains of one size pack to 0.64
    CHECK(m.max_packing > 0.2);
    CHECK(m.max_packing < 0.7);
  }
}

TEST_CASE("library: temperatures are in order: softening, melting, degradation") {
  for (const Material& m : material_library()) {
    if (m.state != State::melting) continue;
    CAPTURE(m.name);
    CHECK(m.solid.softening > 310);
    CHECK(m.solid.softening < m.thermal.T_melt);
    CHECK(m.solid.yield_T_zero > m.solid.softening);
    CHECK(m.solid.yield_T_zero <= m.thermal.T_melt);
    CHECK(m.degradation_guide.value() > m.thermal.T_melt + 30);
  }
}

TEST_CASE("library: heats and conductivities are those of polymers and minerals") {
  // Heat of fusion is of the granules: no more than three quarters of polyethylene's crystal, 293 kJ/kg
  // (Wunderlich and co-workers, value from memory).
  for (const Material& m : material_library()) {
    CAPTURE(m.name);
    for (const double cp : {m.thermal.cp_solid, m.thermal.cp_melt}) {
      CHECK(cp >= 400);
      CHECK(cp <= 2800);
    }
    CHECK(m.thermal.fusion >= 0);
    CHECK(m.thermal.fusion <= 220e3);
    CHECK(m.thermal.conductivity >= 0.14);
    CHECK(m.thermal.conductivity <= 10);
    if (m.state == State::melting) CHECK(m.thermal.cp_melt > m.thermal.cp_solid);
  }
}

TEST_CASE("library: families that split off acid or toxic gas carry their caution") {
  for (const Material& m : material_library()) {
    CAPTURE(m.name);
    CHECK((m.name.find("vinyl chloride") != std::string::npos) == (m.hazard == Hazard::chlorinated));
    CHECK((m.name.find("fluoride") != std::string::npos) == (m.hazard == Hazard::fluorinated));
    CHECK((m.name.find("oxymethylene") != std::string::npos) == (m.hazard == Hazard::acetal));
  }
}
