#include "io/read_trial.hpp"

#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>

#include "io/toml_table.hpp"

using namespace quern;
using doctest::Approx;

namespace {

std::string refused(const std::string& text) {
  try {
    (void)read_trial_text(text, "trial.toml", ".");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}
std::string with(const std::string& from, const std::string& to) {
  std::string text = read_text_file("examples/combined.toml");
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("project: the combined example is read as it stands") {
  const Trial t = read_trial("examples/combined.toml");
  CHECK(t.machine.zones.size() == 9);
  CHECK(t.screw.elements.size() == 32);
  CHECK(t.machine.section.centre_distance == Approx(0.0248));
  CHECK(throughput(t) == Approx(5.0 / 3600));
  CHECK(t.screw_speed == Approx(220.0 / 60));
  CHECK(t.zone_temperature[1] == Approx(265.15));
  CHECK(t.machine.chiller->glycol == Approx(0.4));
  CHECK(t.machine.die->count == 2);
  CHECK(t.take_off->trough_length == Approx(2.5));
}
TEST_CASE("project: machine, screw and own materials may stand in files of their own") {
  namespace fs = std::filesystem;
  const fs::path folder = fs::temp_directory_path() / "quern-read-trial";
  fs::create_directories(folder / "lines");
  const std::string whole = read_text_file("tests/data/newtonian.toml");
  const auto cut = [&](const std::string& from, const std::string& to) {
    return whole.substr(whole.find(from), whole.find(to) - whole.find(from));
  };
  std::ofstream(folder / "lines" / "m.toml") << cut("[machine]", "[screw]");
  std::ofstream(folder / "s.toml") << cut("[screw]", "[material.liquid]");
  std::ofstream(folder / "r.toml") << "format = \"quern-material/1\"\n" << cut("[material.liquid]", "[[feed]]");
  std::ofstream(folder / "p.toml")
      << "format = \"quern/1\"\nmachine = \"lines/m.toml\"\nscrew = \"s.toml\"\nmaterials = [\"r.toml\"]\n"
      << whole.substr(whole.find("[[feed]]"));
  const Trial split = read_trial((folder / "p.toml").string()), together = read_trial("tests/data/newtonian.toml");
  CHECK(split.screw.elements.size() == together.screw.elements.size());
  CHECK(split.feeds[0].material.viscosity.eta0 == together.feeds[0].material.viscosity.eta0);
  CHECK(split.machine.die->curve == together.machine.die->curve);
  std::ofstream(folder / "lines" / "m.toml", std::ios::app) << "\n[machine.dye]\nkind = \"strand\"\n";
  try {
    (void)read_trial((folder / "p.toml").string());
    CHECK(false);
  } catch (const InputError& error) {  // the fault stands in the file it was made in
    CHECK(error.faults().front().file.find("m.toml") != std::string::npos);
    CHECK(error.faults().front().right == "did you mean \"die\"?");
  }
  fs::remove_all(folder);
}
TEST_CASE("project: what is wrong comes with line, field and remedy") {
  CHECK(refused(with("rate         = \"4.5 kg/h\"", "rate         = \"4.5\""))
            .find("trial.toml:176: feed[0].rate: \"4.5\" has no unit\n    write a mass flow, for example \"6 kg/h\"") !=
        std::string::npos);
  CHECK(refused(with("\"talc\"", "\"tallc\"")).find("did you mean \"talc\"?") != std::string::npos);
  CHECK(refused(with("\"cold 2\"     = \"-8 degC\"", "")).find("settings.zone_temperature.\"cold 2\": missing") !=
        std::string::npos);
  CHECK(refused(with("\"cold 2\"     =", "\"cold two\"     =")).find("no such field") != std::string::npos);
  CHECK(refused(with("torque_max = \"119 N m\"", "torque_max = \"119 bar\"")).find("is not a torque") !=
        std::string::npos);
  CHECK(refused(with("starts          = 2", "starts          = 3")).find("diameter ratio") != std::string::npos);
  CHECK(refused(with("[settings]\n", "[closures]\nsolid_conveyin = 0.5\n[settings]\n"))
            .find("did you mean \"solid_conveying\"?") != std::string::npos);
  CHECK(refused(with("screw_speed = \"220 rpm\"", "screw_speed = \"900 rpm\"")).find("more than the drive turns") !=
        std::string::npos);
  CHECK(refused(with("screw_speed = \"220 rpm\"", "screw_speed = \"0 rpm\"")) != "");
}
TEST_CASE("project: a closure is fixed by name and unit") {
  std::string text = read_text_file("examples/combined.toml") +
                     "\n[closures]\nsolid_heat_transfer = \"300 W/m2/K\"\nsolid_engagement = 0.04\n";
  const Trial t = read_trial_text(text, "trial.toml", ".");
  CHECK(t.closures.is_fixed(Closure::solid_heat_transfer));
  CHECK(t.closures[Closure::solid_heat_transfer] == Approx(300));
  CHECK(t.closures[Closure::solid_engagement] == Approx(0.04));
  CHECK_FALSE(t.closures.is_fixed(Closure::mixing_length));
}
