#include <algorithm>
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
    CHECK(f.wrong.size() + f.right.size() < 2000);
    const bool has_control =
        std::ranges::any_of(f.field + f.wrong + f.right, [](char c) { return c >= 0 && c < 0x20; });
    CHECK_FALSE(has_control);
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
TEST_CASE("hostile project: every file of tests/hostile is refused in the right form") {
  int tried = 0;
  for (const auto& entry : std::filesystem::directory_iterator("tests/hostile")) {
    if (entry.path().extension() != ".toml") continue;
    CAPTURE(entry.path().string());
    CHECK_THROWS_AS(read_trial(entry.path().string()), InputError);
    CHECK_FALSE(faults_of(read_text_file(entry.path().string())).empty());
    ++tried;
  }
  CHECK(tried >= 16);
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
TEST_CASE("hostile project: as many of anything as the limits let pass are still answered within a second") {
  const std::string sound = sound_project(), format = "format = \"quern/1\"\n";
  const auto many = [](const std::string& before, int count, const std::string& each, const std::string& after) {
    std::string text = before;
    for (int i = 0; i < count; ++i) {
      std::string item = each;
      for (std::size_t at; (at = item.find('#')) != std::string::npos;) item.replace(at, 1, std::to_string(i));
      text += item;
    }
    return text + after;
  };
  const std::string z = "\"intake\"     = \"15 degC\"";
  const std::string texts[] = {
      many(format + "[material]\n", 24'000, "m#={}\n", ""),
      many(format + "[material]\n", 49'000, "m#=1\n", ""),
      many(format + "[material.x.source]\n", 24'000, "k#=\"y\"\n", many("[material.x]\n", 24'000, "k#=1\n", "")),
      many(sound, 10'000, "[[feed]]\nmaterial=\"x#\"\n", ""),
      many(sound, 9'000, "[[feed]]\nmaterial=\"talc\"\nrate=\"1 kg/h\"\n", ""),
      many(format, 49'000, "k#=1\n", ""),
      many(sound.substr(0, sound.find(z)), 48'000, "\"z#\"=\"15 degC\"\n", sound.substr(sound.find(z))),
      many(format + "[machine]\n", 24'000, "[[machine.zone]]\n", ""),
      many(format + "[screw]\n", 24'000, "[[screw.element]]\n", ""),
      many(format + "materials = [", 49'000, "\"a\",", "]\n"),
      many(format + "[machine.die]\nkind = \"curve\"\ncurve = [", 12'000, "[\"# kg/h\", \"# bar\"],", "]\n"),
      many(format, 8'000, "a#.b.c.d.e.f.g.h=1\n", ""),
      many(format + "title = \"", 1, std::string(4'900'000, 'x'), "\"\n"),
      many(format, 1, std::string(4'900'000, 'k') + " = 1\n", "")};
  for (const std::string& text : texts) {
    CAPTURE(text.substr(0, 60));
    CHECK_FALSE(faults_of(text).empty());
  }
}
TEST_CASE("hostile project: texts that would steer a terminal, or lie about the place, are shown as codes") {
  const std::string sound = sound_project();
  for (const char* nasty : {"\\u001b[2J", "a\\nother.toml:3: rate: fine", "\\u0000", "\\u202Eevil", "\\u009b31m"})
    for (const char* place : {"\"4.5 kg/h\"", "\"talc\"", "\"feed\"", "\"water\"", "\"conveying\"", "\"intake\"",
                              "\"ethylene glycol 40 %\"", "\"quern/1\""}) {
      const std::string text = replaced(sound, place, "\"" + std::string(nasty) + "\"");
      CAPTURE(std::string(nasty) + " for " + place);
      CHECK_FALSE(faults_of(text).empty());
    }
  CHECK_FALSE(faults_of("format = \"quern/1\"\nmachine = \"a\\nb.toml:3: fine\"\n").empty());
}
TEST_CASE("hostile project: a thousands blank, a range or a typeset sign never becomes another number") {
  const std::string sound = sound_project();
  for (const char* value :
       {"1 080 mm", "1'080 mm", "1,080 mm", "1.080.0 mm", "1080-1100 mm", "1080 1 mm", "\u22121080 mm"}) {
    CAPTURE(std::string(value));
    CHECK(faults_of(replaced(sound, "shaft_length    = \"1080 mm\"", "shaft_length = \"" + std::string(value) + "\""))
              .front()
              .field == "machine.shaft_length");
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
  // a fault in a file that another names tells both
  try {
    (void)read_trial((folder / "a.toml").string());
  } catch (const InputError& error) {
    const std::string all = error.what();
    CHECK(all.find("b.toml") != std::string::npos);
    CHECK(all.find("itself named by") != std::string::npos);
    CHECK(all.find("missing.toml: no such file") != std::string::npos);
    CHECK(all.find("a.toml:3") != std::string::npos);
  }
  fs::remove_all(folder);
}
