#include <cmath>
#include <fmt/format.h>

#include "machine/solve.hpp"

namespace quern {
namespace {

class Faults {
 public:
  std::vector<Fault> found{};
  void refuse(std::string field, std::string wrong, std::string right) {
    found.push_back({.field = std::move(field), .wrong = std::move(wrong), .right = std::move(right)});
  }
  /// NaN and infinity lie outside every range.
  void range(std::string field, double value, double low, double high, Kind kind, std::string_view unit) {
    if (value >= low && value <= high) return;
    refuse(std::move(field),
           std::isfinite(value) ? show(value, kind, unit) + " is outside the possible range" : "not a finite number",
           fmt::format("{} to {}", show(low, kind, unit), show(high, kind, unit)));
  }
};

void check_material(Faults& faults, const Material& m, const std::string& at) {
  faults.range(at + ".density", m.state == State::melting ? m.solid.density : m.density.rho, 10, 25000, Kind::density,
               "kg/m3");
  faults.range(at + ".heat_capacity", m.thermal.cp_melt, 100, 20000, Kind::heat_capacity, "J/kg/K");
  if (m.state != State::filler) {
    faults.range(at + ".conductivity", m.thermal.conductivity, 0.001, 500, Kind::conductivity, "W/m/K");
    faults.range(at + ".viscosity.n", m.viscosity.n, 0.01, 2, Kind::ratio, "1");
    faults.range(at + ".viscosity.eta0", m.viscosity.eta0, 1e-6, 1e25, Kind::viscosity, "Pa s");
  }
  if (m.state == State::melting) {
    faults.range(at + ".melting_temperature", m.thermal.T_melt, 200, 800, Kind::temperature, "degC");
    faults.range(at + ".melting_width", m.thermal.width, 0.1, 60, Kind::temperature_difference, "K");
    faults.range(at + ".heat_of_fusion", m.thermal.fusion, 0, 2e6, Kind::specific_energy, "kJ/kg");
    faults.range(at + ".heat_capacity_solid", m.thermal.cp_solid, 100, 20000, Kind::heat_capacity, "J/kg/K");
    faults.range(at + ".solid.bulk_loose", m.solid.bulk_loose, 1, m.solid.density, Kind::density, "kg/m3");
    faults.range(at + ".solid.bulk_compacted", m.solid.bulk_compacted, 1, m.solid.density * 1.0001, Kind::density,
                 "kg/m3");
    faults.range(at + ".solid.yield_stress", m.solid.yield, 0, 1e10, Kind::pressure, "MPa");
    faults.range(at + ".solid.friction", m.solid.friction, 0, 5, Kind::ratio, "1");
  }
}

}  // namespace

double throughput(const Trial& trial) {
  double rate = 0;
  for (const Feed& feed : trial.feeds) rate += feed.rate;
  return rate;
}

std::vector<Fault> check_trial(const Trial& trial) {
  Faults f;
  const Machine& m = trial.machine;
  f.range("settings.screw_speed", trial.screw_speed, 1e-4, 100, Kind::screw_speed, "rpm");
  if (m.drive.speed_max > 0 && trial.screw_speed > m.drive.speed_max * (1 + 1e-9))
    f.refuse("settings.screw_speed",
             show(trial.screw_speed, Kind::screw_speed, "rpm") + " is more than the drive turns",
             "at most speed_max, " + show(m.drive.speed_max, Kind::screw_speed, "rpm"));
  f.range("machine.drive.power_max", m.drive.power_max, 1, 1e8, Kind::power, "kW");
  f.range("machine.drive.speed_max", m.drive.speed_max, 1e-3, 100, Kind::screw_speed, "rpm");
  f.range("machine.drive.torque_max", m.drive.torque_max, 1e-3, 1e7, Kind::torque, "N m");
  f.range("machine.drive.efficiency", m.drive.efficiency, 0.05, 1, Kind::ratio, "1");
  f.range("machine.drive.idle_power", m.drive.idle_power, 0, 1e8, Kind::power, "kW");
  f.range("machine.pressure_max", m.pressure_max, 1, 1e10, Kind::pressure, "bar");
  f.range("machine.shaft_length", m.shaft_length, 1e-3, 100, Kind::length, "mm");
  if (m.zones.empty()) f.refuse("machine.zone", "no zones", "at least one [[machine.zone]]");
  if (trial.zone_temperature.size() != m.zones.size())
    f.refuse("settings.zone_temperature",
             fmt::format("{} set points for {} zones", trial.zone_temperature.size(), m.zones.size()),
             "one set point for every zone");
  for (std::size_t i = 0; i < trial.zone_temperature.size() && i < m.zones.size(); ++i)
    f.range("settings.zone_temperature.\"" + m.zones[i].name + "\"", trial.zone_temperature[i], 173.15, 773.15,
            Kind::temperature, "degC");
  bool chilled = false;
  for (const Zone& zone : m.zones) chilled |= zone.cooling == Cooling::chiller;
  if (chilled && !m.chiller)
    f.refuse("machine.chiller", "zones are cooled by a chiller that is not described",
             "a [machine.chiller] table with its capacity");
  if (trial.feeds.empty()) f.refuse("feed", "nothing is fed", "at least one [[feed]]");
  bool polymer = false, liquid = false, melting = false;
  for (std::size_t i = 0; i < trial.feeds.size(); ++i) {
    const Feed& feed = trial.feeds[i];
    const std::string at = fmt::format("feed[{}]", i);
    f.range(at + ".rate", feed.rate, 1e-9, 1e3, Kind::mass_flow, "kg/h");
    f.range(at + ".temperature", feed.temperature, 173.15, 773.15, Kind::temperature, "degC");
    if (feed.size) f.range(at + ".size", *feed.size, 1e-9, 0.1, Kind::length, "mm");
    if (feed.bulk_density) f.range(at + ".bulk_density", *feed.bulk_density, 1, 25000, Kind::density, "kg/m3");
    check_material(f, feed.material, at + ".material");
    polymer |= feed.material.state != State::filler;
    liquid |= feed.material.state == State::liquid;
    melting |= feed.material.state == State::melting;
  }
  if (!trial.feeds.empty() && !polymer)
    f.refuse("feed", "only fillers are fed", "at least one stream of polymer or liquid");
  if (liquid && melting)
    f.refuse("feed", "a liquid together with granules",
             "streams that all melt, or all liquids; a liquid additive to granules is not modelled yet");
  if (m.die) {
    const Die& d = *m.die;
    if (d.kind != Die::Kind::curve) f.range("machine.die.land", d.land, 1e-6, 10, Kind::length, "mm");
    if (d.kind == Die::Kind::strand || d.kind == Die::Kind::annulus)
      f.range("machine.die.diameter", d.diameter, 1e-5, 5, Kind::length, "mm");
    if (d.kind == Die::Kind::annulus && !(d.core > 0 && d.core < d.diameter))
      f.refuse("machine.die.core", "not between 0 and the diameter", "the core's diameter, less than \"diameter\"");
    if (d.kind == Die::Kind::slit)
      f.range("machine.die.width", d.width, 1e-5, 20, Kind::length, "mm"),
          f.range("machine.die.height", d.height, 1e-6, 1, Kind::length, "mm");
    if (d.count < 1 || d.count > 10000)
      f.refuse("machine.die.count", fmt::format("{}", d.count), "1 to 10000 openings");
    for (std::size_t i = 1; i < d.curve.size(); ++i)
      if (!(d.curve[i].first > d.curve[i - 1].first))
        f.refuse("machine.die.curve", fmt::format("flow does not rise at point {}", i),
                 "points in the order of rising flow");
    if (d.kind == Die::Kind::curve && d.curve.empty())
      f.refuse("machine.die.curve", "no points", "[[\"0 kg/h\", \"0 bar\"], [\"10 kg/h\", \"30 bar\"]]");
  }
  if (trial.numerics.cells < 20 || trial.numerics.cells > 50000)
    f.refuse("numerics.cells", fmt::format("{}", trial.numerics.cells), "20 to 50000");
  if (!(trial.numerics.tolerance >= 1e-12 && trial.numerics.tolerance <= 1e-2))
    f.refuse("numerics.tolerance", fmt::format("{:g}", trial.numerics.tolerance), "1e-12 to 0.01");
  if (trial.numerics.iterations < 5 || trial.numerics.iterations > 10000)
    f.refuse("numerics.iterations", fmt::format("{}", trial.numerics.iterations), "5 to 10000");
  return std::move(f.found);
}

}  // namespace quern
