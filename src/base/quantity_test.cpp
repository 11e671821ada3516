#include "base/quantity.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "base/error.hpp"

using namespace quern;
using doctest::Approx;

namespace {

std::string refusal(std::string_view text, Kind kind) {
  double si = 0;
  const auto bad = parse_quantity(text, kind, si);
  return bad ? bad->wrong : "";
}

}  // namespace

TEST_CASE("quantity: identities of the trade, exact by definition of the units") {
  CHECK(quantity("1 kWh/kg", Kind::specific_energy) == Approx(3.6e6).epsilon(1e-12));
  CHECK(quantity("1 hp.h/lb", Kind::specific_energy) == Approx(5918.35e3).epsilon(1e-6));  // 1.643987 kWh/kg
  CHECK(quantity("25 hp", Kind::power) == Approx(18642.5).epsilon(1e-6));
  CHECK(quantity("1 bar", Kind::pressure) / quantity("1 psi", Kind::pressure) == Approx(14.5037738).epsilon(1e-8));
  CHECK(quantity("1 lb/h", Kind::mass_flow) == Approx(0.45359237 / 3600).epsilon(1e-12));
  CHECK(quantity("32 degF", Kind::temperature) == Approx(273.15).epsilon(1e-9));
  CHECK(quantity("-8 degC", Kind::temperature) == Approx(265.15).epsilon(1e-12));
  CHECK(quantity("60 rpm", Kind::screw_speed) == Approx(1).epsilon(1e-12));
  CHECK(quantity("180 deg", Kind::angle) == Approx(3.14159265358979).epsilon(1e-12));
}
TEST_CASE("quantity: spellings of the trade and UCUM codes mean the same") {
  const struct {
    const char *a, *b;
    Kind kind;
  } pairs[] = {{"6 kg/h", "6kg/h", Kind::mass_flow},
               {"200 degC", "200 Cel", Kind::temperature},
               {"200 degC", "200 °C", Kind::temperature},
               {"392 degF", "392 [degF]", Kind::temperature},
               {"119 N m", "119 Nm", Kind::torque},
               {"119 N m", "119 N.m", Kind::torque},
               {"0.3 kWh/kg", "0.3 kW.h/kg", Kind::specific_energy},
               {"0.3 kWh/kg", "0.3 kW h/kg", Kind::specific_energy},
               {"220 rpm", "220 /min", Kind::screw_speed},
               {"220 rpm", "220 {rev}/min", Kind::screw_speed},
               {"220 rpm", "220 1/min", Kind::screw_speed},
               {"10 lb/h", "10 [lb_av]/h", Kind::mass_flow},
               {"10 lb/h", "10 lb/hr", Kind::mass_flow},
               {"100 psi", "100 [psi]", Kind::pressure},
               {"5 hp", "5 [HP]", Kind::power},
               {"12 um", "12 µm", Kind::length},
               {"400 W/m2/K", "400 W/(m2 K)", Kind::heat_transfer},
               {"400 W/m2/K", "400 W/m²/K", Kind::heat_transfer},
               {"900 kg/m3", "900 kg/m^3", Kind::density},
               {"0.9 g/cm3", "900 kg/m3", Kind::density},
               {"1000 Pa s", "1000 Pa·s", Kind::viscosity},
               {"1000 Pa s", "1000 Pa.s", Kind::viscosity},
               {"1000 Pa s", "10000 poise", Kind::viscosity},
               {"2 kJ/kg/K", "2000 J/(kg K)", Kind::heat_capacity},
               {"50 %", "0.5", Kind::ratio}};
  for (const auto& p : pairs) {
    CAPTURE(p.a);
    CAPTURE(p.b);
    CHECK(quantity(p.a, p.kind) == Approx(quantity(p.b, p.kind)).epsilon(1e-9));
  }
}
TEST_CASE("quantity: a difference of temperature has no zero to shift") {
  CHECK(quantity("10 K", Kind::temperature_difference) == 10);
  CHECK(quantity("10 degC", Kind::temperature_difference) == 10);
}
TEST_CASE("quantity: what is wrong is named, and an example offered") {
  CHECK(refusal("6", Kind::mass_flow) == "\"6\" has no unit");
  CHECK(refusal("6 mm", Kind::mass_flow).find("is not a mass flow") != std::string::npos);
  CHECK(refusal("6 blobs", Kind::mass_flow).find("not known") != std::string::npos);
  CHECK(refusal("4,5 kg/h", Kind::mass_flow).find("decimal comma") != std::string::npos);
  CHECK(refusal("nan kg/h", Kind::mass_flow).find("not a finite number") != std::string::npos);
  CHECK(refusal("inf kg/h", Kind::mass_flow).find("not a finite number") != std::string::npos);
  CHECK(refusal("1e999 kg/h", Kind::mass_flow).find("out of the range") != std::string::npos);
  CHECK(refusal("0x10 kg/h", Kind::mass_flow) != "");
  CHECK(refusal("kg/h", Kind::mass_flow).find("does not begin with a number") != std::string::npos);
  CHECK(refusal("-300 degC", Kind::temperature).find("absolute zero") != std::string::npos);
  CHECK(refusal("100 rpm", Kind::rate) != "");          // a screw speed is no shear rate
  CHECK(refusal("6 phr", Kind::mass_flow) != "");       // parts per hundred, not pico-hours
  CHECK(refusal("10 1/(kg/h)", Kind::mass_flow) != "");  // a reciprocal is another dimension
  CHECK(refusal(std::string(200, '1') + " mm", Kind::length) != "");
  CHECK_THROWS_AS(quantity("6", Kind::mass_flow), InputError);
}
TEST_CASE("quantity: every kind's own example and SI unit can be read") {
  for (int i = 0; i <= static_cast<int>(Kind::specific_volume_curve); ++i) {
    const KindInfo& k = info(static_cast<Kind>(i));
    CAPTURE(k.name);
    if (k.kind != Kind::ratio) CHECK(refusal(k.example, k.kind) == "");
    if (k.kind != Kind::ratio) CHECK(quantity("1 " + std::string(k.si), k.kind) == Approx(1).epsilon(1e-12));
  }
}
TEST_CASE("quantity: shown in a unit of choice") {
  CHECK(show(6.0 / 3600, Kind::mass_flow, "kg/h") == "6.00 kg/h");
  CHECK(show(265.15, Kind::temperature, "degC") == "-8.0 degC");
  CHECK(in_unit(0.05, Kind::ratio, "%") == Approx(5));
}
TEST_CASE("quantity: the nearest word is found, a far one is not") {
  const std::string_view words[] = {"length", "lead", "discs"};
  CHECK(nearest("lenght", words) == "length");
  CHECK(nearest("disks", words) == "discs");
  CHECK(nearest("temperature", words).empty());
}
