#include "base/quantity.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <mutex>
#include <stdexcept>
#include <udunits2.h>

#include "base/error.hpp"
#include "base/quote.hpp"
#include "base/unit_text.hpp"

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
    bool is_angular;  ///< has the radian in it, which udunits2 takes for a plain 1
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
    if (system_ == nullptr) throw std::runtime_error("the units database of udunits2 is not installed");
  }
  /// In base units the radian shows: "0.10471975511966 s-1.rad".
  static bool is_angular(const ut_unit* unit) {
    std::array<char, 256> text{};
    const int length = ut_format(unit, text.data(), text.size() - 1, UT_ASCII | UT_DEFINITION);
    return length > 0 && std::string_view(text.data()).find("rad") != std::string_view::npos;
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
        if (std::isfinite(at0) && std::fabs(at2 - 2 * at1 + at0) <= 1e-9 * std::fabs(at2))
          line = Line{at1 - at0, at0, is_angular(from)};
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

template <class T>
using Read = tl::expected<T, BadQuantity>;

std::string a_kind(Kind kind) {
  const std::string_view name = info(kind).name;
  return fmt::format("{} {}", name.starts_with('a') ? "an" : "a", name);
}

tl::unexpected<BadQuantity> refuse(std::string_view text, std::string_view what, Kind kind, std::string right = "") {
  if (right.empty()) right = fmt::format("write {}, for example \"{}\"", a_kind(kind), info(kind).example);
  return tl::unexpected(BadQuantity{quote(text) + ' ' + std::string(what), std::move(right)});
}

/// Blanks, and those of typesetting that a copied text brings along.
std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blanks[] = {" ", "\u00a0", "\u202f"};
  const auto trim = [&](std::string_view blank) {
    const std::size_t before = text.size();
    while (text.starts_with(blank)) text.remove_prefix(blank.size());
    while (text.ends_with(blank)) text.remove_suffix(blank.size());
    return text.size() != before;
  };
  while (std::ranges::count_if(blanks, trim) > 0) {
  }
  return text;
}

/// "4,5" may mean 4.5; "1,000" may mean a thousand: the reader is told both.
tl::unexpected<BadQuantity> refuse_comma(std::string_view text, std::string_view number, std::string_view rest,
                                         Kind kind) {
  std::size_t digits = 0;
  while (digits + 1 < rest.size() && rest[digits + 1] >= '0' && rest[digits + 1] <= '9') ++digits;
  const std::string_view after = rest.substr(1, digits);
  std::string right = fmt::format("write {}.{}, with a point", number, after);
  if (digits == 3) right += fmt::format(", or {}{}, without", number, after);
  return refuse(text, "has a decimal comma", kind, digits == 0 ? "" : std::move(right));
}

struct Typed {
  double number;
  std::string_view unit;
};

/// The number and what follows it.
Read<Typed> split(std::string_view text, Kind kind) {
  if (text.size() > 64) return refuse(text, "is too long for a quantity", kind);
  std::string_view rest = trimmed(text);
  if (rest.starts_with("\u2212"))
    return refuse(text, "begins with a typeset minus", kind, "write the minus sign of the keyboard, -");
  if (rest.size() > 1 && rest[0] == '+' && rest[1] != '-') rest.remove_prefix(1);
  double number = 0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (error == std::errc::result_out_of_range) return refuse(text, "is out of the range of numbers", kind);
  if (error != std::errc{}) return refuse(text, "does not begin with a number", kind);
  if (!std::isfinite(number)) return refuse(text, "is not a finite number", kind);
  const auto length = static_cast<std::size_t>(end - rest.data());
  const std::string_view digits = rest.substr(0, length);
  rest.remove_prefix(length);
  if (rest.starts_with(',')) return refuse_comma(text, digits, rest, kind);
  return Typed{number, trimmed(rest)};
}

tl::unexpected<BadQuantity> refuse_unit(std::string_view text, std::string_view unit, Kind kind) {
  const auto spelling = unit_spelling(unit);
  if (spelling && UnitTable::instance().is_unit(*spelling))
    return refuse(text, fmt::format("is not {}", a_kind(kind)), kind);
  const std::size_t digit = unit.find_first_of("0123456789");
  if (digit != std::string_view::npos && unit.find_first_not_of("+-.' ") == digit)
    return refuse(
        text, "holds a second number", kind,
        fmt::format("one number without blanks or signs in it, and its unit, for example \"{}\"", info(kind).example));
  return refuse(text, fmt::format("has a unit that is not known, {}", quote(unit)), kind);
}

/// si = scale x + offset for a unit of this kind. An angle is measured in angular units, and nothing else is: a
/// shear rate in rpm or rad/s would be a screw speed.
std::optional<UnitTable::Line> line_of(std::string_view unit, Kind kind) {
  if (kind == Kind::screw_speed) {
    const auto turns = speed_unit(unit);
    return turns ? std::optional(UnitTable::Line{*turns, 0, false}) : std::nullopt;
  }
  const auto spelling = unit_spelling(unit);
  if (!spelling) return std::nullopt;
  auto line = UnitTable::instance().to_si(*spelling, std::string(info(kind).si));
  if (line && line->is_angular != (kind == Kind::angle)) return std::nullopt;
  if (line && kind == Kind::temperature_difference) line->offset = 0;
  return line;
}

Read<double> read_quantity(std::string_view text, Kind kind) {
  const Read<Typed> typed = split(text, kind);
  if (!typed) return tl::unexpected(typed.error());
  if (typed->unit.empty()) return kind == Kind::ratio ? Read<double>(typed->number) : refuse(text, "has no unit", kind);
  const auto line = line_of(typed->unit, kind);
  if (!line) return refuse_unit(text, typed->unit, kind);
  const double si = typed->number * line->scale + line->offset;
  if (!std::isfinite(si) || (si == 0 && typed->number != 0 && line->offset == 0))
    return refuse(text, "is out of the range of numbers", kind);
  if (kind == Kind::temperature && si < 0) return refuse(text, "is below absolute zero, -273.15 degC", kind);
  return si;
}

}  // namespace

const KindInfo& info(Kind kind) {
  const KindInfo& found = kinds[static_cast<std::size_t>(kind)];
  assert(found.kind == kind);
  return found;
}

std::optional<BadQuantity> parse_quantity(std::string_view text, Kind kind, double& si) {
  const Read<double> read = read_quantity(text, kind);
  if (!read) return read.error();
  si = *read;
  return std::nullopt;
}

std::string_view unit_in(std::string_view text, Kind kind) {
  const Read<Typed> typed = split(text, kind);
  return typed && line_of(typed->unit, kind) ? typed->unit : info(kind).si;
}

double quantity(std::string_view text, Kind kind) {
  double si = 0;
  if (const auto bad = parse_quantity(text, kind, si)) throw InputError({{.wrong = bad->wrong, .right = bad->right}});
  return si;
}

double in_unit(double si, Kind kind, std::string_view unit) {
  if (kind == Kind::ratio && unit == "1") return si;
  const auto line = line_of(unit, kind);
  assert(line.has_value());
  return (si - line->offset) / line->scale;
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
  std::size_t least = 1 + (word.size() < 4 ? 1 : std::max<std::size_t>(2, word.size() / 3));
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
