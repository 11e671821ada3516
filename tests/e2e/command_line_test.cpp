#include <array>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "program.hpp"

// The built program, run as a user runs it.
namespace {

using namespace program;

struct Folder : ProgramFolder {
  Folder() : ProgramFolder({Copy{"combined.toml", "line.toml"}}) {}
  /// The project with one text put in place of another.
  void edit(const std::string& from, const std::string& to) const {
    std::string text = content_of(path / "line.toml");
    const auto at = text.find(from);
    REQUIRE(at != std::string::npos);
    std::ofstream(path / "line.toml") << text.replace(at, from.size(), to);
  }
};

}  // namespace

TEST_CASE("command line: a bundled project solves, and leaves the report and the profile that were asked for") {
  const Folder folder;
  const Ended ended = folder.quern("solve line.toml --profile out.csv --report out.html");
  CAPTURE(ended.err);
  CHECK(ended.code == 0);
  CHECK(ended.err.empty());
  CHECK(content_of(folder.path / "out.csv").starts_with("position [m],"));
  CHECK(has(content_of(folder.path / "out.html"), "</html>"));
}

TEST_CASE("command line: --json closes mass and energy and its cumulative columns end at the summary's figures") {
  const Folder folder;
  const Ended ended = folder.quern("solve line.toml --json");
  REQUIRE(ended.code == 0);
  const auto result = nlohmann::json::parse(ended.out);
  CHECK(result.at("status") == "solved");
  CHECK(result.at("summary").at("throughput").get<double>() == doctest::Approx(5.0 / 3600).epsilon(1e-12));
  CHECK(std::abs(result.at("balances").at("mass").get<double>()) < 1e-6);
  CHECK(std::abs(result.at("balances").at("energy").get<double>()) < 1e-6);
  CHECK(result.at("profile").at("specific_energy").back() == result.at("summary").at("specific_energy"));
}

TEST_CASE("command line: a refused project names file, line and field, for people and for programs") {
  const Folder folder;
  folder.edit("rate         = \"4.5 kg/h\"", "rate         = \"4.5\"");
  const Ended ended = folder.quern("solve line.toml --json --report out.html");
  CHECK(ended.code == 1);
  const auto result = nlohmann::json::parse(ended.out);
  CHECK(result.at("status") == "refused");
  const auto& fault = result.at("faults").at(0);
  CHECK(fault.at("file") == "line.toml");
  CHECK(has(fault.at("field"), "rate"));
  CHECK(has(ended.err, "line.toml:" + std::to_string(fault.at("line").get<int>()) + ": "));
  CHECK_FALSE(fs::exists(folder.path / "out.html"));
}

TEST_CASE("command line: more feed than the machine can take in ends with 2, a reason, and no figure") {
  const Folder folder;
  folder.edit("rate         = \"4.5 kg/h\"", "rate         = \"450 kg/h\"");
  const Ended ended = folder.quern("solve line.toml --json --report out.html");
  CHECK(ended.code == 2);
  const auto result = nlohmann::json::parse(ended.out);
  CHECK(result.at("status") == "impossible");
  CHECK_FALSE(result.at("reason").at("name").get<std::string>().empty());
  CHECK_FALSE(result.contains("summary"));
  CHECK_FALSE(ended.err.empty());
  CHECK_FALSE(fs::exists(folder.path / "out.html"));
}

TEST_CASE("command line: no output may take the project's name or another output's") {
  const Folder folder;
  const std::string before = content_of(folder.path / "line.toml");
  for (const char* words : {"solve line.toml --report line.toml", "solve line.toml --profile ./line.toml",
                            "solve line.toml --profile a --report a", "sheet line.toml --output line.toml"}) {
    CAPTURE(words);
    CHECK(folder.quern(words).code == 1);
  }
  CHECK(content_of(folder.path / "line.toml") == before);
}

TEST_CASE("command line: wrong usage ends with 64 and offers the nearest command or option") {
  const Folder folder;
  for (const char* words : {"", "solve", "solve line.toml --jsn", "sheeet line.toml", "solve line.toml more"}) {
    CAPTURE(words);
    CHECK(folder.quern(words).code == 64);
  }
  CHECK(has(folder.quern("slove line.toml").err, "did you mean \"solve\"?"));
  CHECK(has(folder.quern("solve line.toml --reprot=x").err, "did you mean \"--report\"?"));
  CHECK(folder.quern("--help").code == 0);
  CHECK(folder.quern("--version").out.starts_with("quern "));
}

TEST_CASE("command line: the sheet is printed, or written where asked") {
  const Folder folder;
  CHECK(has(folder.quern("sheet line.toml").out, "</html>"));
  CHECK(folder.quern("sheet line.toml --output sheet.html").code == 0);
  CHECK(has(content_of(folder.path / "sheet.html"), "</html>"));
}

TEST_CASE("command line: the library is listed, one material shows its sources, a misspelt one the nearest name") {
  const Folder folder;
  CHECK(has(folder.quern("materials").out, "talc"));
  CHECK(folder.quern("materials talc").code == 0);
  CHECK(nlohmann::json::accept(folder.quern("materials --json").out));
  const Ended misspelt = folder.quern("materials tlac");
  CHECK(misspelt.code == 1);
  CHECK(has(misspelt.err, "talc"));
}

TEST_CASE("command line: an output that takes no more is an error, not a silent success") {
  const Folder folder;
  CHECK(std::system("'" QUERN_PROGRAM "' materials > /dev/full 2> /dev/null") != 0);
}
