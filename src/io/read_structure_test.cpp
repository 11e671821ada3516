#include "io/read_structure.hpp"

#include <doctest/doctest.h>

#include "io/read_trial.hpp"

using namespace quern;
using doctest::Approx;

namespace {

/// The combined example with other tables in the place of its own about structure, which stand last.
std::string with(const std::string& more) {
  const std::string example = read_text_file(std::string(QUERN_SOURCE_DIR) + "/examples/combined.toml");
  return example.substr(0, example.find("[structure")) + more;
}
Project project(const std::string& more) { return read_project_text(with(more), "trial.toml", "."); }
std::string refused(const std::string& more) {
  try {
    (void)project(more);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}
bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("[structure]: left out, streams and sizes come from the feed") {
  const StructurePlan p = project("").structure;
  CHECK(p.parcels == 2000);
  CHECK(p.seed == 1);
  REQUIRE(p.streams.size() == 2);
  CHECK(p.streams[0].size == Approx(4e-3));
  CHECK(p.renewal_time == Approx(1 / (2 * 220.0 / 60)));
  CHECK_FALSE(p.chains);
  CHECK_FALSE(p.volatiles);
}
TEST_CASE("[structure]: every table with its units") {
  const Project all = project(
      "[structure]\nparcels = 300\nseed = 9\n[structure.chains]\nMn = \"60 kg/mol\"\nMw = \"300000 g/mol\"\n"
      "atmosphere = \"nitrogen\"\nperoxide = \"0.05 %\"\n[structure.filler]\nagglomerate_size = \"0.2 mm\"\n"
      "[structure.platelets]\nstack = 40\n[structure.volatile]\nname = \"water\"\ncontent = \"500 ppm\"\n"
      "[structure.volatile.vent_pressure]\n\"vent\" = \"50 mbar\"\n");
  const StructurePlan& p = all.structure;
  CHECK(p.parcels == 300);
  CHECK(p.seed == 9);
  CHECK(p.chains->Mn == Approx(60));
  CHECK(p.chains->dispersity == Approx(5));
  CHECK(p.chains->nitrogen);
  CHECK(p.chains->peroxide == Approx(5e-4 / 0.29045));
  CHECK(p.filler->stream == 1);
  CHECK(p.filler->size == Approx(2e-4));
  CHECK(p.platelets->stack == 40);
  CHECK(p.volatiles->content == Approx(5e-4));
  REQUIRE(p.volatiles->vents.size() == 1);
  CHECK(p.volatiles->vents[0].pressure == Approx(5000));
}
TEST_CASE("[structure]: an interfacial tension has its unit, and the drops a polymer of the feed") {
  CHECK(has(refused("[structure.blend]\ndispersed = \"talc\"\n"), "is no polymer of the feed"));
  CHECK(has(refused("[structure.blend]\n"), "structure.blend.dispersed: missing"));
  const std::string drops = "[structure.blend]\ndispersed = \"polypropylene, extrusion grade\"\n";
  CHECK(project(drops + "interfacial_tension = \"3 mN/m\"\n").structure.blend->tension.value() == Approx(3e-3));
  CHECK(has(refused(drops + "interfacial_tension = \"3 mN\"\n"), "interfacial tension"));
  CHECK(has(refused(drops + "interfacial_tension = \"9 N/m\"\n"), "out of range"));
}
TEST_CASE("[structure]: what cannot be used is refused with line, field and remedy") {
  const std::string chains = "[structure.chains]\n";
  CHECK(has(refused("[structure]\nparcel = 5\n"), "did you mean \"parcels\"?"));
  CHECK(has(refused("[structure]\nparcels = 5\n"), "a whole number from 100 to 100000"));
  CHECK(has(refused(chains + "Mw = \"300 kg/mol\"\n"), "structure.chains.Mn: missing"));
  CHECK(has(refused(chains + "Mn = \"60 kg\"\ndispersity = 5\n"), "\"60 kg\" is no molar mass"));
  CHECK(has(refused(chains + "Mn = 60\ndispersity = 5\n"), "structure.chains.Mn"));
  CHECK(has(refused(chains + "Mn = \"nan kg/mol\"\ndispersity = 5\n"), "is no molar mass"));
  CHECK(has(refused(chains + "Mn = \"60 kg/mol\"\n"), "either Mw"));
  CHECK(has(refused(chains + "Mn = \"60 kg/mol\"\nMw = \"50 kg/mol\"\n"), "Mn to 50 Mn"));
  CHECK(has(refused(chains + "Mn = \"60 kg/mol\"\nMw = \"300 kg/mol\"\ndispersity = 5\n"), "given beside dispersity"));
  CHECK(has(refused("[structure.volatile]\nname = \"watr\"\ncontent = \"1 %\"\n"), "water in polyolefins"));
  CHECK(has(refused("[structure.volatile]\nname = \"water\"\n"), "structure.volatile.content: missing"));
  CHECK(has(refused("[structure.volatile]\nname = \"water\"\ncontent = \"1 %\"\n"
                    "[structure.volatile.vent_pressure]\n\"vnt\" = \"50 mbar\"\n"),
            "did you mean \"vent\"?"));
  CHECK(has(refused("[structure.filler]\n"), "structure.filler.agglomerate_size: missing"));
  CHECK(has(refused("[structure.filler]\nmaterial = \"talk\"\nagglomerate_size = \"1 mm\"\n"), "\"talc\""));
  CHECK(has(refused("[structure.foam]\n"), "structure.foam: no such field"));
  CHECK(has(refused("structure = 3\n[x]\n"), "no such field"));
}
TEST_CASE("[closures]: coefficients of structure are fixed there too, within their ranges") {
  const Project p = project("[closures]\nbreakage_energy = \"100 kJ/kg\"\nsolid_engagement = 0.04\n");
  CHECK(p.coefficients.is_fixed("breakage_energy"));
  CHECK(p.coefficients(all_coefficients().front()) == Approx(1e5));
  CHECK(p.trial.closures.is_fixed(Closure::solid_engagement));
  CHECK(has(refused("[closures]\nbreakage_energy = \"1 J/kg\"\n"), "closures.breakage_energy"));
  CHECK(has(refused("[closures]\nbreakage_enrgy = \"1 kJ/kg\"\n"), "did you mean \"breakage_energy\"?"));
}
