#include "machine/limits.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>

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
      : trial(t), stock(s), line(l), record(r), state(st) {}

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
    return std::move(found);
  }

 private:
  const Trial& trial;
  const Stock& stock;
  const MarchLine& line;
  const MarchRecord& record;
  const LineState& state;
  std::vector<Limit> found{};

  void add(Limit l) { found.push_back(std::move(l)); }
  bool comes_out_molten() const { return record.X.back() > 0.5; }
  double end_of(std::size_t i) const { return line.cells[i].from + line.cells[i].dz; }

  void drive() {
    const Drive& d = trial.machine.drive;
    add(limit("torque", Kind::torque, "N m", state.summary.torque_per_shaft, torque_rating(d), false, {},
              "each shaft carries"));
    add(limit("power", Kind::power, "kW", state.summary.motor_power,
              d.power_max * trial.screw_speed / d.speed_max + d.idle_power * trial.screw_speed / d.idle_speed, false,
              {}, "the motor gives"));
  }

  void intake() {
    for (std::size_t i = 0; i < line.cells.size(); ++i) {
      const auto& cell = line.cells[i];
      const auto& part = line.parts[static_cast<std::size_t>(cell.part)];
      if (!cell.under_feed) continue;
      const double N = trial.screw_speed, m = state.summary.throughput;
      double share = 0;
      if (line.all_liquid) share = part.A1 > 0 ? m * line.v0 / (part.A1 * N * std::pow(line.D, 3)) : 0;
      else if (part.forward)
        share = m / (std::min(line.intake, line.convey) * line.bulk_loose * part.free_area * part.advance * N);
      else continue;
      add(limit("intake", Kind::ratio, "%", share, 1, false, cell.from,
                "the feed takes up this share of what the feed element can swallow:"));
      return;
    }
  }

  void softening() {
    if (stock.all_liquid) return;
    double hottest = -1e9, place = 0;
    for (std::size_t i = 0; i < record.T.size(); ++i) {
      const bool counts =
          line.chilled[static_cast<std::size_t>(line.cells[i].zone)] || (!trial.machine.die && !comes_out_molten());
      if (counts && record.T[i] > hottest) hottest = record.T[i], place = end_of(i);
    }
    if (hottest > 0)
      add(limit("softening", Kind::temperature, "degC", hottest, stock.softening, false, place,
                "granules in the cold sections reach"));
  }

  void chiller() {
    if (!trial.machine.chiller || trial.machine.chiller->capacity.empty()) return;
    double set = 1e9;
    for (std::size_t z = 0; z < line.zone_T.size(); ++z)
      if (line.chilled[z]) set = std::min(set, line.zone_T[z]);
    if (set > 1e8) return;
    add(limit("chiller", Kind::power, "kW", state.summary.chiller_duty, chiller_capacity(*trial.machine.chiller, set),
              false, {}, "the chiller removes"));
  }

  void zones() {
    std::optional<Limit> heating, cooling;
    double from = 0;
    for (std::size_t z = 0; z < state.zones.size(); ++z) {
      const Zone& zone = trial.machine.zones[z];
      const double q = state.zones[z].heat_from_barrel, middle = from + 0.5 * zone.length;
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
        const double flux = trial.closures[Closure::zone_cooling_flux] * line.parts.front().bore * zone.length;
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
    double from = 0;
    for (std::size_t z = 0; z < trial.machine.zones.size(); ++z) {
      const Zone& zone = trial.machine.zones[z];
      const double open = from + 0.25 * zone.length, close = from + 0.75 * zone.length;
      from += zone.length;
      if (zone.port != Port::vent && zone.port != Port::side_feed) continue;
      double distance = 1e9;
      for (std::size_t i = 0; i < record.full.size(); ++i) {
        if (record.full[i] < 0.5 || end_of(i) < close) continue;  // melt backs up from downstream
        distance = std::min(distance, std::max(0.0, line.cells[i].from - close));
      }
      if (distance > 1e8) continue;
      add(limit(zone.port == Port::vent ? "vent" : "side feed", Kind::length, "mm", distance, 0.5 * line.D, true,
                0.5 * (open + close), "the full section downstream of the opening stays off by"));
    }
  }

  void die() {
    if (!trial.machine.die) return;
    add(limit("die pressure", Kind::pressure, "bar", state.summary.die_pressure, trial.machine.pressure_max, false,
              trial.machine.shaft_length, "the die asks for"));
  }

  void melt() {
    if (!stock.all_liquid && *std::max_element(record.X.begin(), record.X.end()) < 0.5) return;
    if (stock.degradation > 0) {
      const auto hot = std::max_element(record.T.begin(), record.T.end());
      const auto i = static_cast<std::size_t>(hot - record.T.begin());
      add(limit("melt temperature", Kind::temperature, "degC", state.summary.highest_temperature, stock.degradation,
                false, end_of(i), "the stock reaches"));
    }
    if (stock.all_liquid) return;
    double coldest = 1e9, place = 0;
    for (std::size_t i = 0; i < record.T.size(); ++i)
      if (record.X[i] > 0.5 && record.wall_T[i] < coldest) coldest = record.wall_T[i], place = line.cells[i].from;
    add(limit("freeze-off", Kind::temperature, "degC", coldest, stock.T_melt, true, place, "melt touches a wall at"));
  }

  void strand() {
    if (!state.strand || stock.all_liquid) return;
    add(limit("strand core", Kind::temperature, "degC", state.strand->core, state.strand->safe_core, false, {},
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
