#include <chrono>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "io/read_trial.hpp"
#include "io/toml_table.hpp"

using namespace quern;

namespace {

std::string sound_project() { return read_text_file("examples/combined.toml"); }

/// Reads a text that must be refused; every fault names the file and says what is wrong and what would be right.
std::vector<Fault> faults_of(const std::string& text) {
  const auto start = std::chrono::steady_clock::now();
  std::vector<Fault> faults;
  try {
    (void)read_trial_text(text, "bad.toml", "/nowhere");
  } catch (const InputError& error) {
    faults = error.faults();
  }
  CHECK(std::chrono::steady_clock::now() - start < std::chrono::seconds(1));
  for (const Fault& f : faults) {
    CHECK_FALSE(f.file.empty());
    CHECK_FALSE(f.wrong.empty());
    CHECK_FALSE(f.right.empty());
  }
  return faults;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("hostile project: cut at any of 300 places it is refused or, past its last needed line, still whole") {
  const std::string whole = sound_project();
  int refused = 0;
  for (std::size_t i = 0; i < 300; ++i) {
    CAPTURE(i);
    refused += !faults_of(whole.substr(0, whole.size() * i / 300)).empty();
  }
  CHECK(refused > 285);  // only the last lines, take_off among them, can be spared
}
TEST_CASE(
    "hostile project: every quantity of the example without its unit, with a wrong one, or no number is refused by "
    "line") {
  const std::string whole = sound_project();
  int tried = 0;
  for (std::size_t at = 0; (at = whole.find("= \"", at)) != std::string::npos; at += 3) {
    const std::size_t from = at + 3, to = whole.find('"', from);
    const char first = whole[from];
    if (!(std::isdigit(static_cast<unsigned char>(first)) || first == '-')) continue;
    for (const char* bad :
         {"12", "7 furlong", "nan mm", "inf kg/h", "1e999 mm", "twelve mm", "-1e308 mm", "4,5 mm", ""}) {
      const std::string text = whole.substr(0, from) + bad + whole.substr(to);
      const std::vector<Fault> faults = faults_of(text);
      CAPTURE(text.substr(at > 30 ? at - 30 : 0, 80));
      REQUIRE_FALSE(faults.empty());
      CHECK(faults.front().line > 0);
      ++tried;
    }
  }
  CHECK(tried > 400);
}
TEST_CASE("hostile project: odd bytes, odd sizes and odd shapes end in a message") {
  const std::string whole = sound_project();
  std::vector<std::string> bad = {"",
                                  " \n\t\n",
                                  std::string(1, '\0'),
                                  whole + std::string(1, '\0'),
                                  "\xff\xfe\x00\x41",
                                  whole + "\n# \xc3\x28",
                                  "[&",
                                  "= = =",
                                  "[[[[",
                                  "format",
                                  "format = ",
                                  "format = 1",
                                  "format = \"quern/2\"",
                                  "format = \"other/1\"",
                                  "\xEF\xBB\xBF",
                                  std::string(6'000'000, 'x'),
                                  std::string(100'000, '['),
                                  "a = " + std::string(100'000, '['),
                                  "a = " + std::string(50'000, '{'),
                                  std::string(20'000, 'a') + " = 1",
                                  "format = \"quern/1\"\nformat = \"quern/1\"\n"};
  std::string dotted = "a";
  for (int i = 0; i < 5000; ++i) dotted += ".a";
  bad.push_back(dotted + " = 1");
  for (const std::string& text : bad) {
    CAPTURE(text.substr(0, 40));
    CHECK_FALSE(faults_of(text).empty());
  }
}
TEST_CASE("hostile project: wrong types for every table and list of the example are refused by name") {
  const std::string whole = sound_project();
  for (const char* table :
       {"machine", "screw", "settings", "take_off", "feed", "closures", "numerics", "material", "materials"})
    for (const char* value : {"3", "true", "[1, 2]", "1979-05-27", "[]", "[[]]", "\"\""}) {
      const std::string text = std::string(table) + " = " + value + "\n" + "format = \"quern/1\"\n";
      CAPTURE(text);
      CHECK_FALSE(faults_of(text).empty());
    }
}
TEST_CASE("hostile project: faults come all together, with their lines") {
  std::string text = replaced(sound_project(), "lead = \"45 mm\"", "lead = \"45\"");
  text = replaced(text, "screw_speed = \"220 rpm\"", "screw_speed = \"220\"");
  text = replaced(text, "discs = 5", "disks = 5");
  const std::vector<Fault> faults = faults_of(text);
  CHECK(faults.size() >= 3);
  bool misspelt = false, no_unit = false;
  for (const Fault& f : faults) {
    misspelt |= f.wrong == "no such field" && f.right == "did you mean \"discs\"?" && f.line > 0;
    no_unit |= f.field == "settings.screw_speed" && f.wrong == "\"220\" has no unit";
  }
  CHECK(misspelt);
  CHECK(no_unit);
}
TEST_CASE("hostile project: a newer format is refused by name") {
  const std::vector<Fault> faults = faults_of(replaced(sound_project(), "quern/1", "quern/7"));
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].wrong.find("newer version") != std::string::npos);
  CHECK(faults[0].line == 4);
}
TEST_CASE("hostile project: a screw that does not close says by how much and on which side") {
  const std::vector<Fault> faults = faults_of(replaced(
      sound_project(), "lead = \"45 mm\"                   # axial advance of a flight in one turn\nlength = \"45 mm\"",
      "lead = \"45 mm\"\nlength = \"44 mm\""));
  REQUIRE_FALSE(faults.empty());
  CHECK(faults[0].wrong.find("short") != std::string::npos);
  CHECK(faults[0].wrong.find("3") != std::string::npos);  // three of them, 1 mm each
}
TEST_CASE("hostile project: 500 elements are read; more than 2000 are refused") {
  const std::string head = sound_project();
  const std::string before = head.substr(0, head.find("[screw]")),
                    after = head.substr(head.find("# What goes in at the feed port."));
  const auto with = [&](int count, double each) {
    std::string screw = "[screw]\nname = \"long\"\n";
    for (int i = 0; i < count; ++i)
      screw +=
          "[[screw.element]]\nkind = \"conveying\"\nlead = \"45 mm\"\nlength = \"" + std::to_string(each) + " mm\"\n";
    return before + screw + after;
  };
  CHECK(faults_of(with(500, 2.16)).empty());
  CHECK_FALSE(faults_of(with(2100, 1080.0 / 2100)).empty());
}
TEST_CASE("hostile project: files that name each other, are missing or are folders are refused with both names") {
  namespace fs = std::filesystem;
  const fs::path folder = fs::temp_directory_path() / "quern-hostile";
  fs::create_directories(folder);
  const auto write = [&](const char* name, const std::string& text) { std::ofstream(folder / name) << text; };
  write("a.toml", "format = \"quern/1\"\nmachine = \"b.toml\"\nscrew = \"missing.toml\"\n");
  write("b.toml", "machine = \"a.toml\"\n");
  write("c.toml", "format = \"quern/1\"\nmachine = \".\"\nmaterials = [\"a.toml\"]\n");
  for (const char* name : {"a.toml", "c.toml", "none.toml", "."}) {
    CAPTURE(name);
    CHECK_THROWS_AS(read_trial((folder / name).string()), InputError);
  }
  fs::remove_all(folder);
}
