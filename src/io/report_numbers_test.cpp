#include "io/report_numbers.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>

#include "machine/line_state.hpp"

using namespace quern;

TEST_CASE("figures: significant digits without exponents") {
  CHECK(significant(1239.6) == "1240");
  CHECK(significant(0.04567) == "0.0457");
  CHECK(significant(9.999) == "10.00");
  CHECK(significant(-52.44) == "-52.4");
  CHECK(significant(0) == "0");
  CHECK(significant(std::numeric_limits<double>::quiet_NaN()) == "-");
}

TEST_CASE("figures: specific energy in both units, 3600 kJ to the kWh") {
  CHECK(energy_both(3.6e6) == "3600 kJ/kg (1.00 kWh/kg)");
  CHECK(energy_both(360e3) == "360 kJ/kg (0.100 kWh/kg)");
}

TEST_CASE("figures: temperatures, shares and places as people say them") {
  CHECK(celsius(273.15) == "0.0");
  CHECK(celsius(273.12) == "0.0");
  CHECK(celsius(265.15) == "-8.0");
  CHECK(celsius(487.2) == "214");
  CHECK(percent(0.4444) == "44 %");
  CHECK(percent(0.0123) == "1.2 %");
  CHECK(place_text(0.465, 0.030) == "465 mm (15.5 D)");
}

TEST_CASE("figures: the margin of a temperature is in kelvin, and is no share") {
  Limit l;
  l.kind = Kind::temperature;
  l.unit = "degC";
  l.value = 480, l.limit = 500, l.margin = 20;
  CHECK(limit_margin(l) == "20.0 K");
  CHECK(limit_limit(l) == "227 °C");
  CHECK(std::isnan(margin_share(l)));
  l.kind = Kind::torque, l.unit = "N m", l.limit = 100, l.margin = 25;
  CHECK(margin_share(l) == 0.25);
}
