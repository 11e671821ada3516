#include "io/toml_table.hpp"

#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

/// The faults that reading one field leaves, as text.
template <class Read>
std::string faults_of(const std::string& text, const Read& read) {
  const toml::table root = parse_toml(text, "a.toml");
  FaultLog log;
  TableReader t(root, "a.toml", "", log);
  read(t);
  try {
    log.throw_if_any();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}
std::string length_fault(const std::string& value, Range range) {
  return faults_of("x = " + value, [&](TableReader& t) { (void)t.quantity("x", Kind::length, range); });
}

}  // namespace

TEST_CASE("table: a value out of range is told its range in the unit it was typed in") {
  CHECK(length_fault("\"-3 mm\"", {1e-3, 5}) ==
        "a.toml:1: x: \"-3 mm\" is not more than 0\n    from 1.00 mm to 5000 mm");
  CHECK(length_fault("\"0 mm\"", {1e-3, 5}).find("is not more than 0") != std::string::npos);
  CHECK(length_fault("\"0.5 mm\"", {1e-3, 5}).find("is less than 1.00 mm") != std::string::npos);
  CHECK(length_fault("\"9 in\"", {0, 0.0254}).find("is more than 1.0") != std::string::npos);
  const std::string hot = faults_of("x = \"1200 degF\"",
                                    [](TableReader& t) { (void)t.quantity("x", Kind::temperature, {173.15, 773.15}); });
  CHECK(hot == "a.toml:1: x: \"1200 degF\" is more than 932 degF\n    from -148 degF to 932 degF");
}
TEST_CASE("table: a number without unit, a wrong type and an absent field are told apart") {
  CHECK(length_fault("3", {}) == "a.toml:1: x: \"3\" has no unit\n    write a length, for example \"30 mm\"");
  CHECK(length_fault("true", {}).find("true or false where a length belongs") != std::string::npos);
  CHECK(length_fault("[1]", {}).find("a list where a length belongs") != std::string::npos);
  CHECK(length_fault("1979-05-27", {}).find("a date or time where a length belongs") != std::string::npos);
  const std::string absent = faults_of("y = 1", [](TableReader& t) { (void)t.required("x", Kind::length); });
  CHECK(absent.find("x: missing\n    x = \"30 mm\"") != std::string::npos);
}
TEST_CASE("table: what nobody asked for is refused, with the nearest name or a list of no great length") {
  const auto unknown = [](const std::string& text) {
    return faults_of(text, [](TableReader& t) {
      for (const char* key : {"length", "lead", "discs"}) (void)t.text(key);
      t.finish();
    });
  };
  CHECK(unknown("lenght = 1").find("did you mean \"length\"?") != std::string::npos);
  CHECK(unknown("zzzzzzzzz = 1").find("one of: discs, lead, length") != std::string::npos);
  CHECK(unknown("length = \"a\"") == "");
  CHECK(unknown(std::string(100'000, 'k') + " = 1").size() < 300);
}
TEST_CASE("table: of many faults 50 are told, the others counted") {
  std::string text;
  for (int i = 0; i < 80; ++i) text += "k" + std::to_string(i) + " = 1\n";
  const toml::table root = parse_toml(text, "a.toml");
  FaultLog log;
  TableReader(root, "a.toml", "", log).finish();
  try {
    log.throw_if_any();
    CHECK(false);
  } catch (const InputError& error) {
    CHECK(error.faults().size() == 51);
    CHECK(error.faults().back().wrong == "30 more faults");
  }
}
TEST_CASE("table: a field is found by its path, down to what exists of it") {
  const toml::table root = parse_toml(
      "[machine]\nname = \"m\"\n[[machine.zone]]\n[[machine.zone]]\nname = \"z\"\n[t]\n\"hot 1.b\" = 1\n", "");
  CHECK(line_of_path(root, "machine") == 1);
  CHECK(line_of_path(root, "machine.zone[1].name") == 5);
  CHECK(line_of_path(root, "machine.zone[1].absent") == 4);
  CHECK(line_of_path(root, "machine.zone[7].name") == 3);
  CHECK(line_of_path(root, "t.\"hot 1.b\"") == 7);
  for (const char* odd :
       {"", ".", "[", "\"", "..", "[]", "machine[", "machine.zone[99999999999999999999]", ".\"", "a]b"})
    CHECK(line_of_path(root, odd) >= 0);
}
