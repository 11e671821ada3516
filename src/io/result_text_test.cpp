#include "io/result_text.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <sstream>

#include "io/cautions.hpp"
#include "io/report_example.hpp"

using namespace quern;

namespace {

std::size_t letters(const std::string& utf8) {
  return static_cast<std::size_t>(std::ranges::count_if(utf8, [](char c) { return (c & 0xC0) != 0x80; }));
}

Limit limit(const char* name, double margin) {
  Limit l;
  l.name = name;
  l.kind = Kind::power;
  l.unit = "kW";
  l.limit = 1000;
  l.margin = margin;
  l.state = margin < 0 ? Limit::State::over : Limit::State::within;
  l.text = std::string("sentence of ") + name;
  return l;
}

}  // namespace

TEST_CASE("terminal text: fits 80 columns") {
  for (const char* name : {"melt", "solid", "combined"}) {
    LineState s = example_state(name);
    s.cautions = cautions(example_trial(name), s);
    std::istringstream text(result_text(example_trial(name), s));
    for (std::string line; std::getline(text, line);) CHECK_MESSAGE(letters(line) <= 80, line);
  }
}

TEST_CASE("terminal text: residence time and specific energy lead, with the boundary named") {
  const std::string text = result_text(example_trial("combined"), example_state("combined"));
  const auto time = text.find("residence time"), energy = text.find("specific energy"), torque = text.find("torque, ");
  CHECK(time < energy);
  CHECK(text.find("at the shafts") != std::string::npos);
  CHECK(text.find("kWh/kg") != std::string::npos);
  CHECK(energy < text.find("outlet temperature"));
  CHECK(torque == std::string::npos);
  CHECK(text.find("nan") == std::string::npos);
}

TEST_CASE("verdict: names the nearest limit, or how many are exceeded") {
  LineState s;
  s.summary.torque_share = 0.44;
  CHECK(verdict(s) == "Takes 44 % of the torque rating.");
  s.limits = {limit("chiller", 120), limit("torque", 560)};
  CHECK(verdict(s) ==
        "Runs within every limit. Takes 44 % of the torque rating. Nearest limit, chiller: sentence of chiller.");
  s.limits.push_back(limit("intake", -50));
  CHECK(verdict(s) == "One limit is exceeded, intake: sentence of intake. Takes 44 % of the torque rating.");
  s.limits.push_back(limit("power", -300));
  CHECK(verdict(s).starts_with("2 limits are exceeded, by most power: "));
}
