#include "jobs/materials.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "io/material_library.hpp"
#include "jobs/material_fields.hpp"

using namespace quern;
using doctest::Approx;

namespace {

/// Columns a terminal needs for a text: bytes that begin a character, longest line.
std::size_t width(const std::string& text) {
  std::size_t widest = 0;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::size_t columns = 0;
    for (const char c : line) columns += (static_cast<unsigned char>(c) & 0xC0u) != 0x80u;
    widest = std::max(widest, columns);
  }
  return widest;
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::string fault_of(const std::string& name) {
  try {
    materials_text(name);
  } catch (const InputError& error) {
    return describe(error.faults());
  }
  return "";
}

double si_value(const std::string& material, const std::string& field) {
  const auto one = nlohmann::json::parse(materials_json(material)).at("materials").at(0);
  for (const auto& number : one.at("numbers"))
    if (number.at("field") == field) return number.at("value").get<double>();
  FAIL("no number " << field);
  return 0;
}

}  // namespace

TEST_CASE("materials: the list names every material of the library and fits 100 columns") {
  const std::string text = materials_text(std::nullopt);
  CHECK(width(text) <= 100);
  for (const Material& m : material_library()) CHECK(has(text, m.name));
}

TEST_CASE("materials: one material's page shows each number as written, with its source, within 100 columns") {
  for (const Material& m : material_library()) {
    CAPTURE(m.name);
    const std::string text = materials_text(m.name);
    CHECK(width(text) <= 100);
    for (const Provenance& p : m.provenance) {
      CAPTURE(p.field);
      CHECK(material_field_kind(p.field).has_value());
      CHECK(has(text, p.value));
      CHECK(has(text, p.source.substr(0, 40)));
    }
  }
}

TEST_CASE("materials: JSON gives each number in SI with its unit and source") {
  const auto all = nlohmann::json::parse(materials_json(std::nullopt)).at("materials");
  CHECK(all.size() == material_library().size());
  for (const auto& material : all)
    for (const auto& number : material.at("numbers")) {
      CAPTURE(number.at("field").get<std::string>());
      CHECK(number.at("value").is_number());
      CHECK(number.at("unit").is_string());
      CHECK_FALSE(number.at("source").get<std::string>().empty());
    }
}

TEST_CASE("materials: JSON's numbers are in SI: micrometres, degC, a difference of temperature, kJ/mol, MPa") {
  CHECK(si_value("talc", "solid.size") == Approx(12e-6).epsilon(1e-12));
  const std::string pp = "polypropylene, extrusion grade";
  const Material* m = library_material(pp);
  REQUIRE(m != nullptr);
  CHECK(si_value(pp, "melting_temperature") == Approx(m->thermal.T_melt).epsilon(1e-12));
  CHECK(si_value(pp, "melting_width") == Approx(m->thermal.width).epsilon(1e-12));
  CHECK(si_value(pp, "viscosity.shift.E") == Approx(40e3).epsilon(1e-12));
  CHECK(si_value(pp, "solid.yield_stress") == Approx(m->solid.yield).epsilon(1e-12));
}

TEST_CASE("materials: a misspelt name is refused with the nearest, a part of a name with all that hold it") {
  CHECK(has(fault_of("tlac"), "did you mean \"talc\"?"));
  CHECK(has(fault_of("polyamide"), "\"polyamide 6\" or \"polyamide 66\""));
  CHECK(has(fault_of("no such thing at all"), "quern materials"));
  CHECK_THROWS_AS(materials_json("tlac"), InputError);
  CHECK_THROWS_AS(materials_text(""), InputError);
}

TEST_CASE("materials: the law is named in the words of the file") {
  CHECK(viscosity_law(newtonian(1)) == "newtonian, shift none");
  CHECK(viscosity_law(with_arrhenius(power_law(100, 1, 0.5), 4e4, 473)) == "power law, shift arrhenius");
  CHECK(viscosity_law(cross_wlf(2e4, 0.3, 1e3, 400, 0, 20, 51.6)) == "cross, shift wlf");
  CHECK(viscosity_law(with_exponential(carreau_yasuda(1e4, 0, 1, 2, 0.4), 0.01, 473)) ==
        "carreau-yasuda, shift exponential");
}
