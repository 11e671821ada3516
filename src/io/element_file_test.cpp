#include "io/element_file.hpp"

#include <algorithm>
#include <cstdint>
#include <doctest/doctest.h>
#include <limits>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "flow/element_example.hpp"
#include "io/input_id.hpp"

using namespace quern;
using nlohmann::ordered_json;

namespace {

/// Figures as a solver's are: not round.
ElementSolution some_solution(bool kneading = true) {
  ElementSolution s;
  s.shape = kneading ? kneading_example(45) : conveying_example(1);
  s.line = {.A1 = 0.1 + 1.0 / 7, .B = 2.7e-4 / 3, .P0 = 2000 + 1.0 / 3};
  s.line.P1 = s.line.A1 / s.line.B;
  s.line.P0 += s.line.P1 * s.line.A1;
  if (kneading) s.block = s.line;
  s.numerical = {0.01 / 3, 0.02 / 3, 0.1 / 3}, s.model = {0.07, 0.15, 0.2};
  s.tip_power = 1186.8 / 7, s.nip_power = 337.0 / 7, s.face_power = 124.0 / 7;
  s.rates = {.mean = 33.1, .p10 = 5.5, .median = 20 + 1.0 / 3, .p90 = 51, .p99 = 270};
  s.thinning = {{.index = 1, .throughput = 1, .rate_pressure = 80, .rate_consuming = 70, .rate_power = 90},
                {.index = 0.45, .throughput = 5.0 / 6, .rate_pressure = 80.1, .rate_consuming = 70, .rate_power = 90}};
  s.tracked.throughput = 0.1, s.tracked.length = 1, s.tracked.time = 100.0 / 7;
  s.tracked.time_5 = 2, s.tracked.time_95 = 40, s.tracked.mixing_length = 0.3, s.tracked.strain = 120;
  s.balance = 1e-11, s.iterations = 12;
  return s;
}

ordered_json json_of(const ElementSolution& s) { return ordered_json::parse(element_text(s)); }

/// Text that states its own digest, as a forger would.
std::string signed_text(ordered_json json) {
  json.erase("digest");
  InputId id;
  id.add(json.dump());
  json["digest"] = id.str();
  return json.dump();
}
std::string wrong_with(const std::string& text) {
  const ElementReading reading = read_element(text);
  CHECK_FALSE(reading.solution);
  return reading.wrong;
}

}  // namespace

TEST_CASE("element file: what was written is read, every bit of it") {
  for (const bool kneading : {true, false}) {
    const ElementSolution s = some_solution(kneading);
    const ElementReading reading = read_element(element_text(s));
    CHECK(reading.wrong == "");
    REQUIRE(reading.solution);
    CHECK(*reading.solution == s);
    CHECK(element_text(*reading.solution) == element_text(s));
  }
}

TEST_CASE("element file: one changed character is refused or changes nothing") {
  const ElementSolution s = some_solution();
  const std::string text = element_text(s);
  int refused = 0, harmless = 0;
  for (std::size_t i = 0; i < text.size(); ++i)
    for (const char other : {'0', '9', 'e', '-', ' ', '"', '}', ',', '\0', '\xff'}) {
      if (text[i] == other) continue;
      std::string damaged = text;
      damaged[i] = other;
      const ElementReading reading = read_element(damaged);
      CHECK_MESSAGE((!reading.solution || *reading.solution == s), "at ", i);
      CHECK(reading.solution.has_value() == reading.wrong.empty());
      ++(reading.solution ? harmless : refused);
    }
  CHECK(refused > 10 * harmless);
}

TEST_CASE("element file: cut short or grown anywhere it is refused") {
  const std::string text = element_text(some_solution());
  const std::size_t end = text.rfind('}');
  for (std::size_t n = 0; n <= end; ++n) CHECK_FALSE(read_element(text.substr(0, n)).solution);
  CHECK_FALSE(read_element(text + "{}").solution);
}

TEST_CASE("element file: another method's figures, and figures changed by hand, are refused by name") {
  ordered_json json = json_of(some_solution());
  json["line"]["A1"] = 0.5;
  CHECK(wrong_with(json.dump()) == "its digest does not fit: it is damaged or was changed by hand");
  for (const int method : {0, element_method + 1, -7}) {
    json = json_of(some_solution());
    json["method"] = method;
    CHECK(wrong_with(json.dump()) == "it was computed by another version of the method");
    CHECK(wrong_with(signed_text(json)) == "it was computed by another version of the method");
  }
}

TEST_CASE("element file: figures that no element has are refused even with a digest of their own") {
  const auto changed = [](const char* object, const char* field, double value) {
    ordered_json json = json_of(some_solution());
    json[object][field] = value;
    return wrong_with(signed_text(json));
  };
  CHECK_MESSAGE(read_element(signed_text(json_of(some_solution()))).solution, "the forger's own text is read");
  CHECK(changed("line", "B", -1e-4) == "its characteristics are no element's");
  CHECK(changed("line", "B", 0) == "its characteristics are no element's");
  CHECK(changed("line", "A1", -0.2) == "its characteristics are no element's");
  CHECK(changed("line", "P1", 1) == "its characteristics are no element's");
  CHECK(changed("line", "P0", 10) == "its characteristics are no element's");
  CHECK(changed("block", "B", -1) == "its characteristics are no element's");
  CHECK(changed("shape", "bore", 0.5) == "no screw has its shape");
  CHECK(changed("shape", "centre", 2) == "no screw has its shape");
  ordered_json json = json_of(some_solution());
  json["thinning"][1]["index"] = 2;
  CHECK(wrong_with(signed_text(json)) == "its thinning figures are no element's");
  json = json_of(some_solution());
  json["thinning"] = ordered_json::array();
  CHECK(wrong_with(signed_text(json)) == "its thinning figures are no element's");
  json = json_of(some_solution());
  json["balance"] = 1e-3;
  CHECK(wrong_with(signed_text(json)) == "its balances do not close");
}

TEST_CASE("element file: any value in any field is read or refused, and what is read is finite") {
  const ordered_json good = json_of(some_solution());
  const std::vector<ordered_json> values{nullptr,
                                         true,
                                         "x",
                                         ordered_json::array(),
                                         ordered_json::object(),
                                         1e300,
                                         -1e300,
                                         0,
                                         -0.001,
                                         1e18,
                                         std::numeric_limits<std::int64_t>::min()};
  const auto flattened = good.flatten();
  for (const auto& [path, unused] : flattened.items())
    for (const ordered_json& value : values) {
      ordered_json json = good;
      json[ordered_json::json_pointer(path)] = value;
      const ElementReading reading = read_element(signed_text(json));
      CHECK(reading.solution.has_value() == reading.wrong.empty());
      json = good;
      json[ordered_json::json_pointer(path)] = value;
      CHECK((path == "/digest" || !read_element(json.dump()).solution || json == good));
    }
}

TEST_CASE("element file: texts that are something else are no element files") {
  for (const std::string text : {"", " ", "{", "{}", "[]", "null", "3", "\"digest\"", "\xff\xfe", "{\"digest\":3}",
                                 "{\"digest\":\"\"}", "{\"digest\":\"\",\"method\":\"1\"}", "<html></html>"})
    CHECK(wrong_with(text) != "");
  CHECK(wrong_with(std::string(100, '\0')) == "it is no element file");
}

TEST_CASE("element file: nesting without end and endless numbers are refused without a crash") {
  const std::string deep = std::string(200000, '[') + std::string(200000, ']');
  CHECK(wrong_with(deep) == "it is no element file");
  CHECK_FALSE(
      read_element("{\"method\":" + std::to_string(element_method) + ",\"digest\":\"\",\"x\":" + deep + "}").solution);
  CHECK(wrong_with("{\"digest\":" + std::string(100000, '9') + "}") == "it is no element file");
  CHECK(wrong_with("{\"digest\":1e999999}") == "it is no element file");
}

TEST_CASE("element file: its name tells the kind, and no two shapes share one") {
  std::vector<std::string> names;
  for (const ElementShape& shape :
       {conveying_example(1), conveying_example(1.000001), conveying_example(1, 0.006),
        conveying_example(1, 0.005, 0.02), kneading_example(45), kneading_example(45, 0.21), kneading_example(60)})
    names.push_back(element_file_name(shape));
  CHECK(names.front().starts_with("conveying-"));
  CHECK(names.back().starts_with("kneading-"));
  for (const std::string& name : names) {
    CHECK(name.ends_with(".json"));
    CHECK(name.find_first_of("/\\ :") == std::string::npos);
  }
  std::ranges::sort(names);
  CHECK(std::ranges::adjacent_find(names) == names.end());
}
