#include "base/unit_text.hpp"

#include <algorithm>
#include <cctype>
#include <map>
#include <numbers>
#include <utility>

namespace quern {
namespace {

/// Whole units that udunits2 reads as something else ("C": coulomb) or not at all.
const std::map<std::string_view, std::string_view>& spellings() {
  static const std::map<std::string_view, std::string_view> list = {
      {"Nm", "N.m"},     {"kNm", "kN.m"},   {"hph/lb", "hp.h/lb"},
      {"[HP]", "hp"},    {"HP", "hp"},      {"C", "degC"},
      {"F", "degF"},     {"°F", "degF"},    {"deg C", "degC"},
      {"deg F", "degF"}, {"ºC", "degC"},    {"deg", "arc_degree"},
      {"lbs", "lb"},     {"lbs/h", "lb/h"}, {"lbs/hr", "lb/h"},
      {"cP", "mPa.s"},   {"P", "poise"},    {"[lb_av]/[ft_i]3", "lb/ft3"}};
  return list;
}

/// Parts of units, in this order. Superscripts, the several signs for micro and for a product, codes of UCUM.
constexpr std::pair<std::string_view, std::string_view> parts[] = {
    {"°C", "degC"},  {"°F", "degF"},     {"°K", "K"},       {"°", "arc_degree"}, {"µ", "u"},       {"μ", "u"},
    {"⁻", "-"},      {"¹", "1"},         {"²", "2"},        {"³", "3"},          {"·", "."},       {"⋅", "."},
    {"×", "."},      {"\u00a0", " "},    {"\u202f", " "},   {"kWh", "kW.h"},     {"MWh", "MW.h"},  {"Wh", "W.h"},
    {"Cel", "degC"}, {"[degF]", "degF"}, {"[lb_av]", "lb"}, {"[ft_i]", "ft"},    {"[in_i]", "in"}, {"[psi]", "psi"},
    {"[HP]", "hp"},  {" / ", "/"}};

std::string with_parts_replaced(std::string_view typed) {
  std::string unit(typed);
  for (const auto& [from, to] : parts)
    for (std::size_t at = 0; (at = unit.find(from, at)) != std::string::npos; at += to.size())
      unit.replace(at, from.size(), to);
  return unit.starts_with('/') ? '1' + unit : unit;
}

bool is_letter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }
bool is_digit(char c) { return std::isdigit(static_cast<unsigned char>(c)) != 0; }
bool is_plain(char c) {
  return is_letter(c) || is_digit(c) || std::string_view(" ./*^()-+%_").find(c) != std::string_view::npos;
}

/// Whether the digits at [from, to) raise what stands before them: m2, m^2, m**2, m-2, m^-2.
bool is_exponent(std::string_view unit, std::size_t from, std::size_t to) {
  if (from == 0 || to - from > 1) return false;
  std::string_view before = unit.substr(0, from);
  if (before.ends_with('-') || before.ends_with('+')) before.remove_suffix(1);
  return !before.empty() &&
         (is_letter(before.back()) || before.ends_with('^') || before.ends_with("**") || before.ends_with(')'));
}

bool is_number_allowed(std::string_view unit, std::size_t from, std::size_t to) {
  const std::string_view digits = unit.substr(from, to - from);
  if (from == 0) return digits == "1" && (to == unit.size() || unit[to] == '/');
  return is_exponent(unit, from, to) || (digits == "10" && unit[from - 1] == '(');
}

bool has_number_of_its_own(std::string_view unit) {
  for (std::size_t from = 0; from < unit.size(); ++from) {
    if (!is_digit(unit[from])) continue;
    std::size_t to = from;
    while (to < unit.size() && is_digit(unit[to])) ++to;
    if (!is_number_allowed(unit, from, to)) return true;
    from = to - 1;
  }
  return false;
}

}  // namespace

std::optional<std::string> unit_spelling(std::string_view typed) {
  if (typed.empty() || typed.size() > 64) return std::nullopt;
  if (const auto known = spellings().find(typed); known != spellings().end()) return std::string(known->second);
  std::string unit = with_parts_replaced(typed);
  const char head = unit.front();
  if (!is_letter(head) && !is_digit(head) && head != '%' && head != '(') return std::nullopt;
  if (!std::ranges::all_of(unit, is_plain) || has_number_of_its_own(unit)) return std::nullopt;
  // udunits2 takes parts per hundred of resin for pico-hours
  if (unit.find("phr") != std::string::npos) return std::nullopt;
  if (std::ranges::count(unit, '(') > 4) return std::nullopt;  // its parser recurses
  return unit;
}

std::optional<double> speed_unit(std::string_view typed) {
  constexpr double per_minute = 1.0 / 60, per_radian = 0.5 / std::numbers::pi;
  static const std::map<std::string_view, double> list = {{"rpm", per_minute},
                                                          {"RPM", per_minute},
                                                          {"1/min", per_minute},
                                                          {"1 / min", per_minute},
                                                          {"/min", per_minute},
                                                          {"min-1", per_minute},
                                                          {"min^-1", per_minute},
                                                          {"min⁻¹", per_minute},
                                                          {"r/min", per_minute},
                                                          {"rev/min", per_minute},
                                                          {"U/min", per_minute},
                                                          {"{rev}/min", per_minute},
                                                          {"1/s", 1},
                                                          {"/s", 1},
                                                          {"s-1", 1},
                                                          {"s^-1", 1},
                                                          {"s⁻¹", 1},
                                                          {"Hz", 1},
                                                          {"rps", 1},
                                                          {"rev/s", 1},
                                                          {"{rev}/s", 1},
                                                          {"rad/s", per_radian}};
  const auto found = list.find(typed);
  return found == list.end() ? std::nullopt : std::optional(found->second);
}

}  // namespace quern
