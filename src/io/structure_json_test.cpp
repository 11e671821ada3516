#include "io/structure_json.hpp"

#include <doctest/doctest.h>
#include <limits>

#include "io/structure_text.hpp"

using namespace quern;

TEST_CASE("structure JSON: a figure that does not exist is null, and units are SI") {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  Structure s;
  StructureModel m{.name = "chains"};
  m.figures.push_back({.name = "Mw", .si = "kg/mol", .unit = "g/mol", .one = 1e-3, .along = {300, nan}});
  m.coefficients.push_back({&all_coefficients().front(), all_coefficients().front().value, true});
  s.models.push_back(m);
  const auto j = nlohmann::json::parse(structure_json(s).dump())["chains"];
  CHECK(j["figures"]["Mw"]["unit"] == "kg/mol");
  CHECK(j["figures"]["Mw"]["along"][0] == 300);
  CHECK(j["figures"]["Mw"]["along"][1].is_null());
  CHECK(j["figures"]["Mw"]["end"].is_null());
  CHECK(j["calibrated"] == true);  // fixed in the project
  CHECK(j["coefficients"][0]["unit"] == "J/kg");
  CHECK(structure_value(m.figures[0], 0.042) == "42.0 g/mol");
}
