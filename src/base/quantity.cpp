#include "base/quantity.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <mutex>
#include <numbers>
#include <udunits2.h>

#include "base/error.hpp"

namespace quern {
namespace {

constexpr KindInfo kinds[] = {
    {Kind::ratio, "ratio", "1", "0.5 or 50 %"},
    {Kind::length, "length", "m", "30 mm"},
    {Kind::time, "time", "s", "30 s"},
    {Kind::mass, "mass", "kg", "2 kg"},
    {Kind::temperature, "temperature", "K", "200 degC"},
    {Kind::temperature_difference, "temperature difference", "K", "10 K"},
    {Kind::pressure, "pressure", "Pa", "50 bar"},
    {Kind::mass_flow, "mass flow", "kg/s", "6 kg/h"},
    {Kind::volume_flow, "volume flow", "m3/s", "10 L/min"},
    {Kind::density, "density", "kg/m3", "900 kg/m3"},
    {Kind::screw_speed, "screw speed", "1/s", "220 rpm"},
    {Kind::rate, "rate", "1/s", "100 1/s"},
    {Kind::angle, "angle", "rad", "45 deg"},
    {Kind::torque, "torque", "N m", "119 N m"},
    {Kind::power, "power", "W", "15 kW"},
    {Kind::specific_energy, "specific energy", "J/kg", "0.2 kWh/kg"},
    {Kind::heat_capacity, "heat capacity", "J/kg/K", "2000 J/kg/K"},
    {Kind::conductivity, "thermal conductivity", "W/m/K", "0.2 W/m/K"},
    {Kind::heat_transfer, "heat transfer coefficient", "W/m2/K", "400 W/m2/K"},
    {Kind::heat_flux, "heat flux", "W/m2", "20 kW/m2"},
    {Kind::viscosity, "viscosity", "Pa s", "1000 Pa s"},
    {Kind::molar_energy, "activation energy", "J/mol", "40 kJ/mol"},
    {Kind::velocity, "velocity", "m/s", "20 m/min"},
    {Kind::per_pressure, "pressure coefficient", "1/Pa", "2e-8 1/Pa"},
    {Kind::per_temperature, "temperature coefficient", "1/K", "0.004 1/K"},
    {Kind::temperature_per_pressure, "temperature shift with pressure", "K/Pa", "1e-7 K/Pa"},
    {Kind::density_slope, "density slope", "kg/m3/K", "-0.6 kg/m3/K"},
    {Kind::specific_volume, "specific volume", "m3/kg", "1.2 cm3/g"},
    {Kind::specific_volume_slope, "slope of specific volume", "m3/kg/K", "8e-7 m3/kg/K"},
    {Kind::specific_volume_curve, "curvature of specific volume", "m3/kg/K2", "7e-10 m3/kg/K2"},
};

/// Spellings of the trade and of UCUM that udunits2 reads differently or not at all, whole units only.
const std::map<std::string, std::string, std::less<>>& spellings() {
  static const std::map<std::string, std::string, std::less<>> list = {
      {"Nm", "N.m"},         {"kNm", "kN.m"},        {"kWh/kg", "kW.h/kg"},
      {"Wh/kg", "W.h/kg"},   {"hp h/lb", "hp.h/lb"}, {"hp.h/lb", "hp.h/lb"},
      {"hph/lb", "hp.h/lb"}, {"lb/hr", "lb/h"},      {"[lb_av]/h", "lb/h"},
      {"[psi]", "psi"},      {"[HP]", "hp"},         {"HP", "hp"},
      {"Cel", "degC"},       {"[degF]", "degF"},     {"C", "degC"},
      {"F", "degF"},         {"°C", "degC"},         {"°F", "degF"},
      {"ºC", "degC"},        {"deg C", "degC"},      {"deg F", "degF"},
      {"°", "arc_degree"},   {"deg", "arc_degree"},  {"mm water", "mmH2O"},
      {"l/min", "L/min"},    {"ft.lbf", "ft.lbf"},   {"[lb_av]/[ft_i]3", "lb/ft3"},
  };
  return list;
}

/// The one table of units, made at first use from the library's database and constant from then on. udunits2 reads
/// it from a file and parses with static state, so both happen under a lock; no figure depends on when.
class UnitTable {
 public:
  static UnitTable& instance() {
    static UnitTable table;
    return table;
  }

  struct Line {
    double scale, offset;
  };
  /// si = scale x + offset, or nothing when the text is no unit or measures something else.
  std::optional<Line> to_si(const std::string& unit, const std::string& si) {
    const std::lock_guard lock(mutex_);
    const auto key = std::pair{unit, si};
    if (const auto known = cache_.find(key); known != cache_.end()) return known->second;
    const std::optional<Line> line = work_out(unit, si);
    if (cache_.size() < 4096) cache_.emplace(key, line);
    return line;
  }
  bool is_unit(const std::string& unit) {
    const std::lock_guard lock(mutex_);
    ut_unit* parsed = ut_parse(system_, unit.c_str(), UT_UTF8);
    const bool is = parsed != nullptr;
    ut_free(parsed);
    return is;
  }

 private:
  UnitTable() {
    ut_set_error_message_handler(ut_ignore);
    system_ = ut_read_xml(nullptr);
    assert(system_ != nullptr && "the units database of udunits2 is not installed");
  }
  std::optional<Line> work_out(const std::string& unit, const std::string& si) {
    ut_unit* from = ut_parse(system_, unit.c_str(), UT_UTF8);
    ut_unit* to = ut_parse(system_, si.c_str(), UT_UTF8);
    std::optional<Line> line;
    if (from != nullptr && to != nullptr && ut_are_convertible(from, to) != 0) {
      if (cv_converter* converter = ut_get_converter(from, to)) {
        const double at0 = cv_convert_double(converter, 0), at1 = cv_convert_double(converter, 1);
        // 1/s converts to s as a reciprocal: not a straight line, not the same dimension
        const double at2 = cv_convert_double(converter, 2);
        if (std::isfinite(at0) && std::fabs(at2 - 2 * at1 + at0) <= 1e-9 * std::fabs(at2)) line = Line{at1 - at0, at0};
        cv_free(converter);
      }
    }
    ut_free(from);
    ut_free(to);
    return line;
  }

  ut_system* system_ = nullptr;
  std::mutex mutex_;
  std::map<std::pair<std::string, std::string>, std::optional<Line>> cache_;
};

bool plain(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) ||
         std::string_view(" ./*^()-+%[]{}_'").find(c) != std::string_view::npos;
}

/// A unit as typed, in the spelling of udunits2. Signs of UTF-8 are limited to the few that the trade uses.
std::optional<std::string> clean_unit(std::string_view typed) {
  std::string unit(typed);
  const auto replace = [&](std::string_view from, std::string_view to) {
    for (std::size_t at = 0; (at = unit.find(from, at)) != std::string::npos; at += to.size())
      unit.replace(at, from.size(), to);
  };
  if (const auto known = spellings().find(unit); known != spellings().end()) return known->second;
  for (const auto& [from, to] : {std::pair{"°C", "degC"},
                                 {"°F", "degF"},
                                 {"°", "deg"},
                                 {"µ", "u"},
                                 {"μ", "u"},
                                 {"²", "2"},
                                 {"³", "3"},
                                 {"·", "."},
                                 {"Ω", "ohm"},
                                 {"kWh", "kW.h"},
                                 {"Cel", "degC"},
                                 {"[lb_av]", "lb"},
                                 {"[ft_i]", "ft"},
                                 {"[in_i]", "in"},
                                 {"[psi]", "psi"},
                                 {"[degF]", "degF"}})
    replace(from, to);
  if (unit.size() > 40 || unit.empty() || !std::ranges::all_of(unit, plain)) return std::nullopt;
  if (unit.find_first_of("{}[]") != std::string::npos) return std::nullopt;
  if (std::ranges::count(unit, '^') > 4 || std::ranges::count(unit, '(') > 4) return std::nullopt;
  // an exponent beyond single digits is nobody's unit and costs udunits2 much time
  int digits = 0;
  for (const char c : unit) {
    digits = std::isdigit(static_cast<unsigned char>(c)) ? digits + 1 : 0;
    if (digits > 3) return std::nullopt;
  }
  return unit;
}

/// Revolutions per second over one unit of the speed as typed.
std::optional<double> speed_unit(std::string_view typed) {
  static const std::map<std::string, double, std::less<>> list = {{"rpm", 1.0 / 60},
                                                                  {"1/min", 1.0 / 60},
                                                                  {"/min", 1.0 / 60},
                                                                  {"min-1", 1.0 / 60},
                                                                  {"min^-1", 1.0 / 60},
                                                                  {"r/min", 1.0 / 60},
                                                                  {"rev/min", 1.0 / 60},
                                                                  {"{rev}/min", 1.0 / 60},
                                                                  {"U/min", 1.0 / 60},
                                                                  {"1/s", 1},
                                                                  {"/s", 1},
                                                                  {"s-1", 1},
                                                                  {"Hz", 1},
                                                                  {"rev/s", 1},
                                                                  {"rps", 1},
                                                                  {"{rev}/s", 1},
                                                                  {"rad/s", 0.5 / std::numbers::pi}};
  const auto found = list.find(typed);
  return found == list.end() ? std::nullopt : std::optional(found->second);
}

struct Typed {
  double number;
  std::string_view unit;
};

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

std::string example_of(Kind kind) {
  return fmt::format("write a {}, for example \"{}\"", info(kind).name, info(kind).example);
}

}  // namespace

const KindInfo& info(Kind kind) {
  const KindInfo& found = kinds[static_cast<std::size_t>(kind)];
  assert(found.kind == kind);
  return found;
}

std::optional<BadQuantity> parse_quantity(std::string_view text, Kind kind, double& si) {
  const auto bad = [&](std::string what, std::string right) {
    return BadQuantity{fmt::format("\"{}\" {}", text.substr(0, 64), what), std::move(right)};
  };
  if (text.size() > 64) return bad("... is too long for a quantity", example_of(kind));
  std::string_view rest = trimmed(text);
  if (rest.starts_with('+')) rest.remove_prefix(1);
  double number = 0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error != std::errc{} || !std::isfinite(number)) {
    if (error == std::errc::result_out_of_range) return bad("is out of the range of numbers", example_of(kind));
    return bad(error == std::errc{} ? "is not a finite number" : "does not begin with a number", example_of(kind));
  }
  rest = trimmed(rest.substr(static_cast<std::size_t>(end - rest.data())));
  if (rest.starts_with(','))
    return bad("has a decimal comma", "write a point, for example \"" + std::string(info(kind).example) + "\"");
  if (rest.empty() && kind != Kind::ratio) return bad("has no unit", example_of(kind));
  if (rest.empty()) {
    si = number;
    return std::nullopt;
  }
  const auto wrong_dimension = [&](const std::string& unit) {
    return UnitTable::instance().is_unit(unit)
               ? bad(fmt::format("is not a {}", info(kind).name), example_of(kind))
               : bad(fmt::format("has a unit that is not known, \"{}\"", rest), example_of(kind));
  };
  if (kind == Kind::screw_speed) {
    const auto turns = speed_unit(rest);
    if (!turns) return wrong_dimension(clean_unit(rest).value_or("?"));
    si = number * *turns;
  } else {
    const auto unit = clean_unit(rest);
    if (!unit) return bad(fmt::format("has a unit that is not known, \"{}\"", rest), example_of(kind));
    if (kind == Kind::rate && unit->find("rpm") != std::string::npos) return wrong_dimension(*unit);
    const auto line = UnitTable::instance().to_si(*unit, std::string(info(kind).si));
    if (!line) return wrong_dimension(*unit);
    si = number * line->scale + (kind == Kind::temperature_difference ? 0 : line->offset);
  }
  if (!std::isfinite(si)) return bad("is out of the range of numbers", example_of(kind));
  if (kind == Kind::temperature && si < 0) return bad("is below absolute zero, -273.15 degC", example_of(kind));
  return std::nullopt;
}

double quantity(std::string_view text, Kind kind) {
  double si = 0;
  if (const auto bad = parse_quantity(text, kind, si)) throw InputError({{.wrong = bad->wrong, .right = bad->right}});
  return si;
}

double in_unit(double si, Kind kind, std::string_view unit) {
  if (kind == Kind::screw_speed) return si / speed_unit(unit).value();
  if (kind == Kind::ratio && unit == "%") return si * 100;
  if (kind == Kind::ratio && unit == "1") return si;
  const auto line = UnitTable::instance().to_si(clean_unit(unit).value(), std::string(info(kind).si));
  assert(line.has_value());
  return (si - (kind == Kind::temperature_difference ? 0 : line->offset)) / line->scale;
}

std::string show(double si, Kind kind, std::string_view unit) {
  const double value = in_unit(si, kind, unit);
  const std::string shown_unit = unit == "1" ? "" : " " + std::string(unit);
  if (!std::isfinite(value)) return "unknown" + shown_unit;
  if (value == 0) return "0" + shown_unit;
  const double size = std::fabs(value);
  if (size >= 1e6 || size < 1e-3) return fmt::format("{:.3g}{}", value, shown_unit);
  const int digits = size >= 100  ? (kind == Kind::temperature || size >= 1000 ? 0 : 1)
                     : size >= 10 ? 1
                     : size >= 1  ? 2
                                  : 3;
  return fmt::format("{:.{}f}{}", value, kind == Kind::temperature ? std::min(digits, 1) : digits, shown_unit);
}

std::string_view nearest(std::string_view word, std::span<const std::string_view> candidates) {
  std::string_view best;
  std::size_t least = 1 + std::max<std::size_t>(2, word.size() / 3);
  if (word.size() > 200) return best;
  for (const std::string_view candidate : candidates) {
    std::vector<std::size_t> row(candidate.size() + 1);  // Levenshtein, one row at a time
    for (std::size_t j = 0; j < row.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= word.size(); ++i) {
      std::size_t diagonal = row[0];
      row[0] = i;
      for (std::size_t j = 1; j < row.size(); ++j) {
        const std::size_t next =
            std::min({row[j] + 1, row[j - 1] + 1, diagonal + (word[i - 1] == candidate[j - 1] ? 0 : 1)});
        diagonal = row[j];
        row[j] = next;
      }
    }
    if (row.back() < least) least = row.back(), best = candidate;
  }
  return best;
}

}  // namespace quern
