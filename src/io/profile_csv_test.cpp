#include "io/profile_csv.hpp"

#include <charconv>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <sstream>

#include "io/report_example.hpp"

using namespace quern;

namespace {

std::vector<std::vector<std::string>> cells(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  for (std::size_t at = 0; at < csv.size();) {
    const std::size_t end = csv.find("\r\n", at);
    REQUIRE(end != std::string::npos);
    std::istringstream line(csv.substr(at, end - at));
    std::vector<std::string> row;
    for (std::string cell; std::getline(line, cell, ',');) row.push_back(cell);
    rows.push_back(row);
    at = end + 2;
  }
  return rows;
}

double number(const std::string& cell) {
  double v = 0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), v);
  CHECK((error == std::errc{} && end == cell.data() + cell.size()));
  return v;
}

}  // namespace

TEST_CASE("profile CSV: reads back to the last bit, one row per cell edge") {
  const LineState s = example_state("combined");
  const auto rows = cells(profile_csv(s));
  const ProfileTable& p = s.profile;
  REQUIRE(rows.size() == p.position.size() + 1);
  for (std::size_t i = 0; i < p.position.size(); ++i) {
    const auto& row = rows[i + 1];
    REQUIRE(row.size() == rows[0].size());
    const std::vector<double>* columns[] = {&p.position,      &p.temperature,    &p.pressure,       &p.fill,
                                            &p.melt_fraction, &p.residence_time, &p.specific_energy};
    for (std::size_t c = 0; c < 7; ++c) CHECK(number(row[c]) == (*columns[c])[i]);
    CHECK(number(row.back()) == p.element[i]);
  }
}

TEST_CASE("profile CSV: the header names every column with its unit") {
  const auto head = cells(profile_csv(LineState{}))[0];
  CHECK(head[0] == "position [m]");
  CHECK(head[1] == "temperature [K]");
  CHECK(head[2] == "pressure [Pa]");
  for (const std::string& name : head)
    CHECK_MESSAGE((name.find(" [") != std::string::npos && name.back() == ']'), name);
}

TEST_CASE("profile CSV: a figure that does not exist is an empty field") {
  LineState s;
  s.profile.position = {0, 1};
  s.profile.temperature = {std::numeric_limits<double>::quiet_NaN(), 300};
  const auto rows = cells(profile_csv(s));
  CHECK(rows[1][1].empty());
  CHECK(rows[2][1] == "300");
}
