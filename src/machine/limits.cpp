#include "machine/limits.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

#include "geometry/port_opening.hpp"

namespace quern {
namespace {

using std::numbers::pi;

/// A limit not to exceed (or, `least`, not to fall below), with its state and its sentence.
Limit limit(std::string name, Kind kind, std::string unit, double value, double bound, bool least,
            std::optional<double> place, const std::string& what) {
  Limit l;
  l.name = std::move(name), l.kind = kind, l.unit = std::move(unit), l.value = value, l.limit = bound, l.place = place;
  l.margin = least ? value - bound : bound - value;
  const double close = kind == Kind::temperature ? 10 : 0.1 * std::fabs(bound);
  l.state = l.margin < 0 ? Limit::State::over : l.margin < close ? Limit::State::near : Limit::State::within;
  const std::string left = kind == Kind::temperature ? fmt::format("{:.0f} K", std::fabs(l.margin))
                                                     : show(std::fabs(l.margin), kind, l.unit);
  l.text = fmt::format("{} {}; {} is {}: {} {}", what, show(value, kind, l.unit), least ? "least" : "most",
                       show(bound, kind, l.unit), left, l.margin < 0 ? "over" : "left");
  return l;
}

class Collector {
 public:
  Collector(const Trial& t, const Stock& s, const MarchLine& l, const MarchRecord& r, const LineState& st)
      : trial_(t), stock_(s), line_(l), record_(r), state_(st) {}

  std::vector<Limit> collect() {
    drive();
    intake();
    softening();
    chiller();
    zones();
    ports();
    die();
    melt();
    strand();
    return std::move(found_);
  }

 private:
  const Trial& trial_;
  const Stock& stock_;
  const MarchLine& line_;
  const MarchRecord& record_;
  const LineState& state_;
  std::vector<Limit> found_{};

  void add(Limit l) { found_.push_back(std::move(l)); }
  bool comes_out_molten() const { return record_.X.back() > 0.5; }
  double end_of(std::size_t i) const { return line_.cells[i].from + line_.cells[i].dz; }

  void drive() {
    const Drive& d = trial_.machine.drive;
    add(limit("torque", Kind::torque, "N m", state_.summary.torque_per_shaft, torque_rating(d), false, {},
              "each shaft carries"));
    add(limit("power", Kind::power, "kW", state_.summary.motor_power, d.power_max * trial_.screw_speed / d.speed_max,
              false, {}, "the motor gives"));
  }

  void intake() {
    for (const auto& cell : line_.cells) {
      const auto& part = line_.parts[static_cast<std::size_t>(cell.part)];
      if (!cell.under_feed) continue;
      const double N = trial_.screw_speed, m = state_.summary.throughput;
      double share = 0;
      if (line_.all_liquid) share = part.A1 > 0 ? m * line_.v0 / (part.A1 * N * std::pow(line_.D, 3)) : 0;
      else if (part.forward)
        share = m / (std::min(line_.intake, line_.convey) * line_.bulk_loose * part.free_area * part.advance * N);
      else continue;
      add(limit("intake", Kind::ratio, "%", share, 1, false, cell.from,
                "the feed takes up this share of what the feed element can swallow:"));
      return;
    }
  }

  void softening() {
    if (stock_.all_liquid) return;
    double hottest = -1e9, place = 0;
    for (std::size_t i = 0; i < record_.T.size(); ++i) {
      const bool counts =
          line_.chilled[static_cast<std::size_t>(line_.cells[i].zone)] || (!trial_.machine.die && !comes_out_molten());
      if (counts && record_.T[i] > hottest) hottest = record_.T[i], place = end_of(i);
    }
    if (hottest > 0)
      add(limit("softening", Kind::temperature, "degC", hottest, stock_.softening, false, place,
                "granules in the cold sections reach"));
  }

  void chiller() {
    if (!trial_.machine.chiller || trial_.machine.chiller->capacity.empty()) return;
    double set = 1e9;
    for (std::size_t z = 0; z < line_.zone_T.size(); ++z)
      if (line_.chilled[z]) set = std::min(set, line_.zone_T[z]);
    if (set > 1e8) return;
    add(limit("chiller", Kind::power, "kW", state_.summary.chiller_duty, chiller_capacity(*trial_.machine.chiller, set),
              false, {}, "the chiller removes"));
  }

  void zones() {
    std::optional<Limit> heating, cooling;
    double from = 0;
    for (std::size_t z = 0; z < state_.zones.size(); ++z) {
      const Zone& zone = trial_.machine.zones[z];
      const double q = state_.zones[z].heat_from_barrel, middle = from + 0.5 * zone.length;
      from += zone.length;
      const std::string name = fmt::format("zone \"{}\"", zone.name);
      const auto fuller = [](const std::optional<Limit>& old, const Limit& l) {
        return !old || l.value / std::max(l.limit, 1e-9) > old->value / std::max(old->limit, 1e-9);
      };
      if (q > 1) {
        const Limit l = limit("zone heating", Kind::power, "kW", q, zone.heating.value_or(0), false, middle,
                              name + " must heat with");
        if (fuller(heating, l)) heating = l;
      } else if (q < -1 && zone.cooling != Cooling::chiller) {
        const double flux = trial_.closures[Closure::zone_cooling_flux] * line_.parts.front().bore * zone.length;
        const double able = zone.cooling == Cooling::none ? 0 : zone.cooling_power.value_or(flux);
        const Limit l = limit("zone cooling", Kind::power, "kW", -q, able, false, middle, name + " must remove");
        if (fuller(cooling, l)) cooling = l;
      }
    }
    if (heating) add(*heating);
    if (cooling) add(*cooling);
  }

  /// How far the nearest full section stays away from the opening of a vent.
  void ports() {
    for (const PortOpening& opening : port_openings(trial_.machine.zones, line_.D)) {
      if (opening.port == Port::feed) continue;
      const auto [open, close] = opening.place;
      double distance = 1e9;
      for (std::size_t i = 0; i < record_.full.size(); ++i) {
        if (record_.full[i] < 0.5 || end_of(i) < close) continue;  // melt backs up from downstream
        distance = std::min(distance, std::max(0.0, line_.cells[i].from - close));
      }
      if (distance > 1e8) continue;
      add(limit(opening.port == Port::vent ? "vent" : "side feed", Kind::length, "mm", distance, 0.5 * line_.D, true,
                0.5 * (open + close), "the full section downstream of the opening stays off by"));
    }
  }

  void die() {
    if (!trial_.machine.die) return;
    add(limit("die pressure", Kind::pressure, "bar", state_.summary.die_pressure, trial_.machine.pressure_max, false,
              trial_.machine.shaft_length, "the die asks for"));
  }

  void melt() {
    if (!stock_.all_liquid && *std::max_element(record_.X.begin(), record_.X.end()) < 0.5) return;
    if (stock_.degradation > 0) {
      const auto hot = std::max_element(record_.T.begin(), record_.T.end());
      const auto i = static_cast<std::size_t>(hot - record_.T.begin());
      add(limit("melt temperature", Kind::temperature, "degC", state_.summary.highest_temperature, stock_.degradation,
                false, end_of(i), "the stock reaches"));
    }
    if (stock_.all_liquid) return;
    double coldest = 1e9, place = 0;
    for (std::size_t i = 0; i < record_.T.size(); ++i)
      if (record_.X[i] > 0.5 && record_.wall_T[i] < coldest) coldest = record_.wall_T[i], place = line_.cells[i].from;
    const std::optional<Die>& die = trial_.machine.die;
    if (die && die->temperature > 0 && die->temperature < coldest)
      coldest = die->temperature, place = trial_.machine.shaft_length;
    add(limit("freeze-off", Kind::temperature, "degC", coldest, stock_.T_melt, true, place, "melt touches a wall at"));
  }

  void strand() {
    if (!state_.strand || stock_.all_liquid) return;
    add(limit("strand core", Kind::temperature, "degC", state_.strand->core, state_.strand->safe_core, false, {},
              "at the end of the trough the strand's core is at"));
  }
};

}  // namespace

std::vector<Limit> limits(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchRecord& record,
                          const LineState& state) {
  return Collector(trial, stock, line, record, state).collect();
}

double torque_rating(const Drive& d) {
  const double from_motor = d.efficiency * d.power_max / (4 * pi * d.speed_max);  // two shafts
  return std::min(d.torque_max, from_motor);
}

double motor_power(const Drive& d, double shaft_power, double speed) {
  return shaft_power / d.efficiency + d.idle_power * speed / d.idle_speed;
}

}  // namespace quern
