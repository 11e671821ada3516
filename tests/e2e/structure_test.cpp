#include <cmath>
#include <nlohmann/json.hpp>
#include <numeric>

#include "program.hpp"

// What `quern solve` says of structure.
namespace {

using namespace program;
using doctest::Approx;
using nlohmann::json;

struct Folder : ProgramFolder {
  Folder() : ProgramFolder({Copy{"combined.toml", "combined.toml"}}, true) {}

  /// The combined example with more lines; closed formulas for its elements, so that it solves at once.
  std::string solve(const std::string& more, const std::string& words, int wanted) const {
    const std::string example = content_of(path / "combined.toml");
    std::ofstream(path / "p.toml") << example.substr(0, example.find("[structure")) << more
                                   << "\n[numerics]\nelements = \"estimated\"\n";
    const Ended ended = quern("solve p.toml " + words);
    CHECK(ended.code == wanted);
    return wanted == 0 ? ended.out : ended.err;
  }
};

const std::string full =
    "[structure]\nparcels = 400\n[structure.chains]\nMn = \"60 kg/mol\"\ndispersity = 5\n"
    "[structure.filler]\nagglomerate_size = \"0.1 mm\"\n[structure.volatile]\nname = \"water\"\ncontent = \"500 "
    "ppm\"\n";

}  // namespace

TEST_CASE("quern solve: parcels' mean time and energy are the line's within sampling error") {
  const json j = json::parse(Folder().solve("", "--json", 0)), t = j["structure"]["treatment"];
  const auto within = [](const json& s, double line) {  // five standard errors
    return std::fabs(s["mean"].get<double>() - line) < 5 * s["standard_error"].get<double>();
  };
  const double time = j["summary"]["mean_residence_time"], energy = t["line_energy"];
  CHECK(t["line_time"].get<double>() == Approx(time).epsilon(1e-6));
  CHECK(within(t["time"], time));
  CHECK(within(t["energy"], energy));
  CHECK(energy <= j["summary"]["specific_energy"].get<double>() * (1 + 1e-9));
  double shares = 0;
  for (const json& share : t["cloud"]["share"]) shares += share.get<double>();
  CHECK(shares == Approx(1).epsilon(1e-9));
}
TEST_CASE("quern solve: balances of structure close, and what is left out says why") {
  const json s = json::parse(Folder().solve(full, "--json", 0))["structure"];
  for (const char* name : {"particle_size", "heat", "chains", "filler", "volatile"}) {
    CAPTURE(name);
    REQUIRE(s.contains(name));
    CHECK(s[name]["balance"].get<double>() < 1e-9);
    for (const auto& [key, figure] : s[name]["figures"].items()) CHECK(figure["along"].size() == s["position"].size());
  }
  const json& water = s["volatile"]["figures"];
  CHECK(water["content"]["end"]["mean"].get<double>() + water["vented"]["end"]["mean"].get<double>() ==
        Approx(500e-6).epsilon(1e-9));
  CHECK_FALSE(s["chains"]["calibrated"].get<bool>());
  REQUIRE(s["left_out"].size() == 2);
  for (const json& l : s["left_out"]) CHECK(l["why"].get<std::string>().size() > 10);
}
TEST_CASE("quern solve: one seed gives one answer, another seed another") {
  const Folder folder;
  const std::string first = folder.solve(full, "--json", 0);
  CHECK(folder.solve(full, "--json", 0) == first);
  std::string other = full;
  other.insert(std::string("[structure]\n").size(), "seed = 2\n");
  const json a = json::parse(first)["structure"], b = json::parse(folder.solve(other, "--json", 0))["structure"];
  CHECK(a["treatment"]["time"]["mean"] != b["treatment"]["time"]["mean"]);
  CHECK(a["chains"]["figures"]["Mw"]["along"] == b["chains"]["figures"]["Mw"]["along"]);  // the mean parcel is no draw
}
TEST_CASE("quern solve: text and report put inequality first and uncalibrated figures apart") {
  const Folder folder;
  const std::string text = folder.solve(full, "--report r.html", 0);
  const auto treatment = text.find("of the stock get less than half the mean energy"),
             apart = text.find("Only to hold against another trial"), mass = text.find("molar mass");
  REQUIRE(mass != std::string::npos);
  CHECK(treatment < apart);
  CHECK(apart < mass);
  const std::string html = content_of(folder.path / "r.html");
  CHECK(has(html, "Time and energy of the parcels"));
  CHECK(has(html, "relative to another trial only"));
  CHECK_FALSE(has(html, " nan"));
}
TEST_CASE("quern solve: a faulty [structure] is refused with its line") {
  CHECK(
      has(Folder().solve("[structure.chains]\nMn = \"60\"\n", "", 1), "structure.chains.Mn: \"60\" is no molar mass"));
}
