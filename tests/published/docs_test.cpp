#include <algorithm>
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <fstream>
#include <set>
#include <string>
#include <vector>

#include "machine/closures.hpp"
#include "machine/solve.hpp"
#include "structure/structure_plan.hpp"

using namespace quern;

namespace {

/// Lines of a page of the guide.
std::vector<std::string> page(const std::string& name) {
  std::ifstream in(std::string(QUERN_SOURCE_DIR) + "/docs/guide/" + name);
  std::vector<std::string> lines;
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

bool holds(const std::vector<std::string>& lines, const std::string& line) {
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}

/// First cells of the rows that name something: | `name` | ...
std::set<std::string> names_in(const std::vector<std::string>& lines) {
  std::set<std::string> names;
  for (const std::string& line : lines)
    if (line.starts_with("| `")) names.insert(line.substr(3, line.find('`', 3) - 3));
  return names;
}

/// Of a closure of the line or a coefficient of structure. Bare numbers stand as they are, whatever they count.
template <class Entry>
std::string row_of(const Entry& c) {
  const auto in = [&](double si) {
    return fmt::format("{:g}", c.kind == Kind::ratio ? si : in_unit(si, c.kind, c.unit));
  };
  return fmt::format("| `{}` | {} | {} | {} to {} | {:.0f} % | {} | {} |", c.name, in(c.value), c.unit, in(c.lowest),
                     in(c.highest), 100 * c.uncertainty, c.meaning, c.basis);
}

std::string row(const StopReason& r) { return fmt::format("| `{}` | {} | {} |", r.name, r.meaning, r.remedy); }

}  // namespace

TEST_CASE(
    "guide: every closure and coefficient stands in closures.md with its default, range, uncertainty, meaning and "
    "basis") {
  const std::vector<std::string> lines = page("closures.md");
  for (const ClosureInfo& c : closure_list()) {
    const std::string wanted = row_of(c);
    CAPTURE(wanted);
    CHECK(holds(lines, wanted));
  }
  for (const Coefficient& c : all_coefficients()) {
    const std::string wanted = row_of(c);
    CAPTURE(wanted);
    CHECK(holds(lines, wanted));
  }
  CHECK(names_in(lines).size() == closure_list().size() + all_coefficients().size());  // unique, and none that is gone
}
TEST_CASE("guide: every reason for a stop stands in stops.md with its meaning and what helps") {
  const std::vector<std::string> lines = page("stops.md");
  for (const StopReason& r : stop_reasons()) {
    const std::string wanted = row(r);
    CAPTURE(wanted);
    CHECK(holds(lines, wanted));
  }
  CHECK(names_in(lines).size() == stop_reasons().size());
}
