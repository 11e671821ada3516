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
    CAPTURE(std::string(p.a));
    CAPTURE(std::string(p.b));
    CHECK(quantity(p.a, p.kind) == Approx(quantity(p.b, p.kind)).epsilon(1e-9));
  }
}
TEST_CASE("quantity: where udunits2 reads other than people mean, people win") {
  double si = 0;
  const auto is_refused = [&](std::string_view text, Kind kind) { return parse_quantity(text, kind, si).has_value(); };
  // to udunits2 rpm is an angle rate: 300 rpm would be 31.4 1/s, and a shear rate could be given in it
  CHECK(quantity("300 rpm", Kind::screw_speed) == Approx(5).epsilon(1e-12));
  CHECK(quantity("300 1/min", Kind::screw_speed) == Approx(5).epsilon(1e-12));
  CHECK(quantity("31.41592653589793 rad/s", Kind::screw_speed) == Approx(5).epsilon(1e-12));
  for (const char* turning : {"100 rpm", "100 rad/s", "100 deg/s"}) CHECK(is_refused(turning, Kind::rate));
  CHECK(quantity("100 1/s", Kind::rate) == quantity("100 /s", Kind::rate));
  // the radian is a plain 1 to it, so that angles and ratios would mix
  CHECK(is_refused("45 deg", Kind::ratio));
  CHECK(is_refused("50 %", Kind::angle));
  CHECK(is_refused("0.785 1", Kind::angle));
  // phr is a pico-hour to it, for a time as well
  for (const Kind kind : {Kind::time, Kind::ratio, Kind::mass_flow}) CHECK(is_refused("6 phr", kind));
  // kWh and Nm it cannot read; C is a coulomb, F a farad
  CHECK(quantity("2 kWh/kg", Kind::specific_energy) == Approx(7.2e6).epsilon(1e-12));
  CHECK(quantity("2 kNm", Kind::torque) == 2000);
  CHECK(quantity("100 C", Kind::temperature) == Approx(373.15));
  CHECK(quantity("212 F", Kind::temperature) == Approx(373.15));
  // g/10min is (g/10) min to it; the brackets say what is meant
  CHECK(is_refused("6 g/10min", Kind::mass_flow));
  CHECK(quantity("6 g/(10 min)", Kind::mass_flow) == Approx(1e-5).epsilon(1e-12));
  CHECK(quantity("6 g/(10.min)", Kind::mass_flow) == Approx(1e-5).epsilon(1e-12));
}
TEST_CASE("quantity: a second number is refused, never multiplied in") {
  // "1 080 mm" would be 80 mm, "5-10 mm" -50 mm, "1.2.3 mm" 0.36 mm
  for (const char* text :
       {"1 080 mm", "1'080 mm", "5-10 mm", "1.2.3 mm", "5 2.5 mm", "2 1e3 mm", "5 +1 mm", "5 1/2 mm"}) {
    CAPTURE(std::string(text));
    CHECK(refusal(text, Kind::length).find("holds a second number") != std::string::npos);
  }
  for (const char* text :
       {"5 mm 3", "5 mm per 2", "5 mm/2", "5 mm.2", "+-5 mm", "1e mm", "5 mm'", "5 m2.5/m", "5 mm^01"}) {
    CAPTURE(std::string(text));
    CHECK(refusal(text, Kind::length) != "");
  }
  CHECK(refusal("200 K from 273.15", Kind::temperature) != "");
}
TEST_CASE("quantity: units known from their definitions come out as defined") {
  const struct {
    const char* text;
    Kind kind;
    double si;
  } known[] = {{"1 in", Kind::length, 0.0254},                    // 1959, international inch
               {"1 lbf.ft", Kind::torque, 1.3558179483314004},    // 0.45359237 x 9.80665 x 0.3048
               {"1 psi", Kind::pressure, 6894.757293168},         // lbf over square inch
               {"1 hp", Kind::power, 745.69987158},               // 550 ft lbf/s
               {"1 Btu/lb", Kind::specific_energy, 2326},         // International Table
               {"1 Btu/(lb degF)", Kind::heat_capacity, 4186.8},  // International Table
               {"1 kcal/mol", Kind::molar_energy, 4186.8},        // International Table
               {"1 atm", Kind::pressure, 101325},
               {"1 lb/ft3", Kind::density, 16.01846337396},
               {"1 g/cc", Kind::density, 1000},
               {"1 kg·m⁻³", Kind::density, 1},
               {"1 poise", Kind::viscosity, 0.1},
               {"1 cP", Kind::viscosity, 1e-3},
               {"1 cm3/g", Kind::specific_volume, 1e-3},
               {"18 degF", Kind::temperature_difference, 10},
               {"-40 degF", Kind::temperature, 233.15},  // where both scales meet
               {"1 mbar", Kind::pressure, 100},
               {"360 degrees", Kind::angle, 6.283185307179586},
               {"45°", Kind::angle, 0.7853981633974483},
               {"1 1/MPa", Kind::per_pressure, 1e-6}};
  for (const auto& k : known) {
    CAPTURE(std::string(k.text));
    CHECK(quantity(k.text, k.kind) == Approx(k.si).epsilon(5e-8));  // udunits2 has the horsepower to 4e-8
  }
}
TEST_CASE("quantity: power, torque and energy agree with each other") {
  // by hand: 25 hp at 1800 rpm is 98.90 N m; 18.64 kW at 60 % and 300 of 500 rpm over 10 kg/h is 0.67104 kWh/kg
  const double turn = 2 * 3.141592653589793;
  CHECK(quantity("25 hp", Kind::power) / (turn * quantity("1800 rpm", Kind::screw_speed)) ==
        Approx(98.90).epsilon(1e-4));
  const double energy = quantity("18.64 kW", Kind::power) * 0.6 * 300 / 500 / quantity("10 kg/h", Kind::mass_flow);
  CHECK(in_unit(energy, Kind::specific_energy, "kWh/kg") == Approx(0.67104).epsilon(1e-5));
  CHECK(quantity("1 kWh/kg", Kind::specific_energy) / quantity("1 hp.h/lb", Kind::specific_energy) ==
        Approx(0.608277).epsilon(1e-5));
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
TEST_CASE("quantity: a comma is told how to become a point") {
  double si = 0;
  CHECK(parse_quantity("4,5 kg/h", Kind::mass_flow, si)->right == "write 4.5, with a point");
  CHECK(parse_quantity("1,080 mm", Kind::length, si)->right == "write 1.080, with a point, or 1080, without");
}
TEST_CASE("quantity: text of any length and kind is refused safely, and quoted so that a terminal can show it") {
  CHECK(refusal("4.5 \x1b[31mkg/h", Kind::mass_flow).find('\x1b') == std::string::npos);
  CHECK(refusal(std::string(1'000'000, '('), Kind::length).size() < 200);
  CHECK(refusal("5 ((((((((((m))))))))))", Kind::length) != "");
  CHECK(refusal("5 m^2147483647", Kind::length) != "");
  CHECK(refusal("1e-320 um", Kind::length).find("out of the range") != std::string::npos);  // would round to nothing
  CHECK(refusal("\u22125 mm", Kind::length).find("minus") != std::string::npos);
  CHECK(quantity("5\u00a0mm", Kind::length) == Approx(0.005));  // a blank that does not break, from a copied text
}
TEST_CASE("quantity: the unit as typed is given back for answers in it") {
  CHECK(unit_in("6 kg/h", Kind::mass_flow) == "kg/h");
  CHECK(unit_in("220rpm", Kind::screw_speed) == "rpm");
  CHECK(unit_in("6 blobs", Kind::mass_flow) == "kg/s");
  CHECK(unit_in("0.5", Kind::ratio) == "1");
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
  const std::string_view letters[] = {"n", "eta"};
  CHECK(nearest("xyz", letters).empty());  // three letters, none of them in common
}
