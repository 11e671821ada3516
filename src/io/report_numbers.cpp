#include "io/report_numbers.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

#include "machine/line_state.hpp"
namespace quern {
namespace {

Kind difference_of(Kind kind) { return kind == Kind::temperature ? Kind::temperature_difference : kind; }
std::string difference_unit(const Limit& l) { return l.kind == Kind::temperature ? "K" : l.unit; }

std::string with_unit(double si, Kind kind, const std::string& unit) {
  if (kind == Kind::temperature && unit == "degC") return celsius(si) + " °C";
  const std::string number = figure(si, kind, unit);
  return unit.empty() || unit == "1" ? number : number + ' ' + unit;
}

}  // namespace

std::string significant(double value, int digits) {
  if (!std::isfinite(value)) return "-";
  if (std::fabs(value) < 1e-6) return "0";  // round-off of a sum that is nothing
  const int before = static_cast<int>(std::floor(std::log10(std::fabs(value)))) + 1;
  return fmt::format("{:.{}f}", value, std::clamp(digits - before, 0, 12));
}

std::string figure(double si, Kind kind, std::string_view unit, int digits) {
  return std::isfinite(si) ? significant(in_unit(si, kind, unit), digits) : "-";
}

std::string celsius(double kelvin) {
  const double T = kelvin - 273.15;
  if (!std::isfinite(T)) return "-";
  const std::string text = fmt::format("{:.{}f}", T, std::fabs(T) < 99.95 ? 1 : 0);
  return text == "-0.0" ? "0.0" : text;
}

std::string energy_both(double e) {
  return fmt::format("{} kJ/kg ({} kWh/kg)", significant(e / 1e3), significant(e / 3.6e6));
}

std::string percent(double share) {
  if (!std::isfinite(share)) return "-";
  return fmt::format("{:.{}f} %", 100 * share, std::fabs(share) < 0.0995 ? 1 : 0);
}

std::string place_text(double position, double diameter) {
  return fmt::format("{:.0f} mm ({:.1f} D)", position * 1e3, position / diameter);
}

std::string limit_value(const Limit& l) { return with_unit(l.value, l.kind, l.unit); }
std::string limit_limit(const Limit& l) { return with_unit(l.limit, l.kind, l.unit); }
std::string limit_margin(const Limit& l) { return with_unit(l.margin, difference_of(l.kind), difference_unit(l)); }

double margin_share(const Limit& l) {
  const bool has_share = l.kind != Kind::temperature && l.limit != 0;
  return has_share ? l.margin / std::fabs(l.limit) : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace quern
