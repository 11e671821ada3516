#include "io/profile_csv.hpp"

#include <cmath>
#include <fmt/format.h>
#include <iterator>

namespace quern {
namespace {

struct Column {
  const char* head;
  const std::vector<double>& values;
};

// A column that a state does not have stays empty rather than shifting its neighbours.
std::string field(const std::vector<double>& values, std::size_t row) {
  return row < values.size() && std::isfinite(values[row]) ? fmt::format("{}", values[row]) : std::string{};
}

}  // namespace

std::string profile_csv(const LineState& state) {
  const ProfileTable& p = state.profile;
  const Column columns[] = {{"position [m]", p.position},
                            {"temperature [K]", p.temperature},
                            {"pressure [Pa]", p.pressure},
                            {"fill [1]", p.fill},
                            {"melt_fraction [1]", p.melt_fraction},
                            {"residence_time [s]", p.residence_time},
                            {"specific_energy [J/kg]", p.specific_energy},
                            {"film_temperature [K]", p.film_temperature},
                            {"wall_temperature [K]", p.wall_temperature},
                            {"softening [K]", p.softening}};
  std::string csv;
  for (const Column& c : columns) csv += std::string(c.head) + ',';
  csv += "element [index]\r\n";
  for (std::size_t row = 0; row < p.position.size(); ++row) {
    for (const Column& c : columns) csv += field(c.values, row) + ',';
    if (row < p.element.size()) fmt::format_to(std::back_inserter(csv), "{}", p.element[row]);
    csv += "\r\n";
  }
  return csv;
}

}  // namespace quern
