#include "machine/solve.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <numeric>
#include <thread>

#include "flow/heat_transfer.hpp"
#include "machine/limits.hpp"
#include "machine/march.hpp"
#include "machine/residence.hpp"
#include "machine/stations.hpp"
#include "machine/trust.hpp"

namespace quern {
namespace {

using std::numbers::pi;

void refuse_faulty(const Trial& trial) {
  std::vector<Fault> faults =
      build_faults(trial.machine.section, trial.machine.shaft_length, trial.machine.zones, trial.screw);
  for (Fault& fault : check_trial(trial)) faults.push_back(std::move(fault));
  if (!faults.empty()) throw InputError(std::move(faults));
}

// ---- why there is no steady state ---------------------------------------------------------------------------

std::string place_of(const Trial& trial, const MarchLine& line, double cell) {
  const auto i = static_cast<std::size_t>(std::max(0.0, cell));
  const auto e = static_cast<std::size_t>(line.element_of[i]);
  return fmt::format("element {}, {}, {:.0f} mm from the feed end", e + 1, describe(trial.screw.elements[e]),
                     1e3 * (line.cells[i].from + line.cells[i].dz / 2));
}

Stop stop(Stop::Kind kind, std::string_view name, std::string place, const std::string& what) {
  for (const StopReason& reason : stop_reasons())
    if (reason.name == name)
      return {kind, std::string(name), std::move(place),
              fmt::format("{}: {}. What helps: {}.", what, reason.meaning, reason.remedy)};
  return {kind, std::string(name), std::move(place), what};
}

/// Which port is flooded: the one whose opening the cell lies in, else melt has reached the feed end.
std::string_view flooded_port(const Trial& trial, const MarchLine& line, double cell) {
  const MarchLine::Cell& at = line.cells[static_cast<std::size_t>(cell)];
  if (!at.open || at.under_feed) return line.all_liquid ? "feed floods" : "feed port floods";
  return trial.machine.zones[static_cast<std::size_t>(at.zone)].port == Port::vent ? "vent floods" : "side feed floods";
}

std::optional<Stop> find_stop(const Trial& trial, const MarchLine& line, const MarchResult& r, double m, double N) {
  const auto impossible = [&](std::string_view name, double cell, const std::string& what) {
    return stop(Stop::Kind::impossible, name, place_of(trial, line, cell), what);
  };
  if (r.choked >= 0) {
    const MarchLine::Cell& cell = line.cells[static_cast<std::size_t>(r.choked)];
    return impossible(cell.under_feed ? "feed floods" : "screw floods", r.choked,
                      fmt::format("{} arrive, at most {} would go", show(m, Kind::mass_flow, "kg/h"),
                                  show(m / r.choke_ratio, Kind::mass_flow, "kg/h")));
  }
  if (r.p_die > 5e8)
    return impossible("pressure beyond any machine", static_cast<double>(line.cells.size() - 1),
                      "the die asks for more than 5000 bar");
  if (r.runaway >= 0 && r.T_max > 600)
    return impossible("runaway heating", r.runaway, fmt::format("the stock passes {:.0f} degC", line.T_most - 273.15));
  if (r.runaway >= 0 || !(r.residual < line.tolerance))
    return stop(Stop::Kind::not_converged, "line solver", "the whole line",
                fmt::format("residual {:.1e} after {} iterations, tolerance {:.1e}", r.residual, line.iterations,
                            line.tolerance));
  if (r.flooded >= 0) {
    const std::string_view name = flooded_port(trial, line, r.flooded);
    std::string what = "melt under pressure reaches the opening";
    const auto& part = line.parts[static_cast<std::size_t>(line.cells[static_cast<std::size_t>(r.flooded)].part)];
    if (name == "feed floods" && part.A1 > 0)
      what = fmt::format("{} arrive, at most {} would go", show(m, Kind::mass_flow, "kg/h"),
                         show(part.A1 * N * std::pow(line.D, 3) / line.v0, Kind::mass_flow, "kg/h"));
    return impossible(name, r.flooded, what);
  }
  if (line.die && line.die->kind != Die::Kind::curve && r.X_end < 0.9)
    return impossible("unmelted at the die", static_cast<double>(line.cells.size() - 1),
                      fmt::format("{:.0f} % of the polymer is molten there", 100 * r.X_end));
  return std::nullopt;
}

// ---- the figures ----------------------------------------------------------------------------------------------

/// Heat that the chilled zones take up or any other, out of a recorded march.
std::vector<ZoneState> zone_states(const Trial& trial, const MarchLine& line, const MarchRecord& r, double m) {
  std::vector<ZoneState> zones;
  for (std::size_t z = 0; z < trial.machine.zones.size(); ++z)
    zones.push_back({trial.machine.zones[z].name, trial.zone_temperature[z], 0, 0});
  for (std::size_t i = 0; i < line.cells.size(); ++i) {
    ZoneState& zone = zones[static_cast<std::size_t>(line.cells[i].zone)];
    zone.heat_from_barrel += r.heat[i];
    zone.specific_energy += r.energy[i] / m;
  }
  return zones;
}

Summary summary_of(const Trial& trial, const Stock& stock, const MarchResult& r, double m, double N) {
  Summary s;
  s.throughput = m, s.screw_speed = N;
  s.mean_residence_time = r.tau;
  s.residence_by_section = {r.tau_solid, r.tau - r.tau_solid - r.tau_melt, r.tau_melt};
  s.specific_energy = r.shaft / m;
  s.specific_energy_by_section = {r.e_solid / m, (r.shaft - r.e_solid - r.e_melt) / m, r.e_melt / m};
  s.specific_energy_by_mechanism = {r.friction / m, r.melting / m, r.shear / m, r.flow_work / m};
  s.shaft_power = r.shaft;
  s.motor_power = motor_power(trial.machine.drive, r.shaft, N);
  s.torque_per_shaft = r.shaft / (4 * pi * N);
  s.torque_share = s.torque_per_shaft / torque_rating(trial.machine.drive);
  s.outlet_temperature = stock.temperature(r.h_end);  // beyond the die: its pressure is heat
  s.highest_temperature = std::max(r.T_max, s.outlet_temperature), s.die_pressure = r.p_die;
  s.mean_fill = r.fill_length / trial.machine.shaft_length, s.filled_length = r.filled;
  s.heater_duty = r.heat_in, s.cooling_duty = r.heat_out, s.chiller_duty = r.chiller;
  return s;
}

ProfileTable profile_table(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchRecord& r,
                           const MarchResult& result, double m) {
  ProfileTable p;
  const double nan = std::nan("");
  const auto push = [&](double x, double T, double pressure, double fill, double X, double t, double e, int element,
                        double film, double wall) {
    p.position.push_back(x), p.temperature.push_back(T), p.pressure.push_back(pressure), p.fill.push_back(fill),
        p.melt_fraction.push_back(X);
    p.residence_time.push_back(t), p.specific_energy.push_back(e), p.element.push_back(element),
        p.film_temperature.push_back(film), p.wall_temperature.push_back(wall);
    p.softening.push_back(stage_of(X) == Stage::solid && !stock.all_liquid ? stock.softening - T : nan);
  };
  const double X_feed = stock.all_liquid ? 1 : stock.melt_fraction(stock.feed_temperature);
  push(0, stock.feed_temperature, r.p_up.front(), r.fill.front(), X_feed, 0, 0, 0, stock.feed_temperature,
       r.wall_T.front());
  double t = 0, e = 0;
  for (std::size_t i = 0; i < line.cells.size(); ++i) {
    t += r.tau[i], e += r.energy[i] / m;
    push(line.cells[i].from + line.cells[i].dz, r.T[i], r.p[i], r.fill[i], r.X[i], t, e, line.element_of[i],
         r.film_T[i], r.wall_T[i]);
  }
  p.residence_time.back() = result.tau;
  p.specific_energy.back() = result.shaft / m;
  p.position.back() = trial.machine.shaft_length;
  return p;
}

std::vector<ElementState> element_states(const Trial& trial, const MarchLine& line, const MarchRecord& r, double m) {
  std::vector<ElementState> list;
  for (const Placed& place : placement(trial.screw)) list.push_back({.from = place.from, .to = place.to});
  for (std::size_t i = 0; i < line.cells.size(); ++i) {
    ElementState& e = list[static_cast<std::size_t>(line.element_of[i])];
    const double dz = line.cells[i].dz;
    e.residence_time += r.tau[i], e.specific_energy += r.energy[i] / m;
    e.mean_fill += r.fill[i] * dz / (e.to - e.from), e.filled_length += r.full[i] * dz;
    e.temperature_out = r.T[i], e.pressure_max = std::max({e.pressure_max, r.p[i], r.p_up[i]}),
    e.melt_fraction_out = r.X[i];
    e.stage = stage_of(r.X[i]);
  }
  return list;
}

std::optional<Strand> strand(const Trial& trial, const Stock& stock, const LineState& s) {
  if (!trial.take_off || !trial.machine.die || trial.machine.die->kind != Die::Kind::strand || stock.all_liquid)
    return std::nullopt;
  const TakeOff& t = *trial.take_off;
  const Die& die = *trial.machine.die;
  Strand out;
  out.diameter = t.strand_diameter.value_or(die.diameter);
  const double rho = stock.melt_density(stock.T_melt, 0), T = s.summary.outlet_temperature;
  out.speed = s.summary.throughput / die.count / (rho * pi / 4 * out.diameter * out.diameter);
  out.time_in_water = t.trough_length / out.speed;
  const double cp =
      (stock.enthalpy(T) - stock.enthalpy(t.water_temperature)) / (T - t.water_temperature);  // with crystallization
  const StrandCooling c = cool_strand(out.diameter, out.time_in_water, trial.closures[Closure::trough_film],
                                      stock.conductivity_solid, rho, cp, T, t.water_temperature);
  out.core = c.core, out.mean = c.mean, out.safe_core = stock.softening;
  return out;
}

void set_residence(LineState& s) {
  std::vector<MixedLength> lengths;
  for (const Station& station : s.stations) lengths.insert(lengths.end(), station.mixing.begin(), station.mixing.end());
  s.residence = residence_distribution(lengths);
  s.summary.first_out_time = time_at(s.residence, 0.01);
  s.summary.washout_95 = time_at(s.residence, 0.95);
  s.summary.washout_99 = time_at(s.residence, 0.99);
}

/// Heat against the exact property laws at the temperature where the march ends; mass as the throughput rebuilt from
/// the pressure profile, cell by cell: both independent of how the march adds up.
void set_balances(LineState& s, const Stock& stock, const MarchRecord& r, const MarchResult& result, double m) {
  double heat = 0, shaft = 0;
  for (std::size_t i = 0; i < r.heat.size(); ++i) heat += r.heat[i], shaft += r.energy[i];
  // the march's own temperature at the screw's end, put into the exact laws, and the flow work that leaves with it
  const double flow_work = result.p_die * result.V_end;
  const double rise = m * (stock.enthalpy(result.T_end) - stock.feed_enthalpy) + flow_work;
  s.heat = {.shaft_power = shaft,
            .heaters = result.heat_in,
            .cooling = result.heat_out - result.chiller,
            .chiller = result.chiller,
            .enthalpy_rise = rise,
            .flow_work = result.flow_work,
            .remainder = shaft + heat - rise};
  s.energy_balance = s.heat.remainder / (std::fabs(shaft) + std::fabs(heat) + std::fabs(rise) + 1e-12);
  for (const double share : r.through)
    if (std::fabs(share - 1) > std::fabs(s.mass_balance)) s.mass_balance = share - 1;
}

LineState assemble(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchResult& result,
                   const MarchRecord& record, bool with_spread) {
  const double m = throughput(trial);
  LineState s;
  s.summary = summary_of(trial, stock, result, m, trial.screw_speed);
  s.iterations = static_cast<int>(result.iterations), s.residual = result.residual;
  s.profile = profile_table(trial, stock, line, record, result, m);
  s.zones = zone_states(trial, line, record, m);
  s.elements = element_states(trial, line, record, m);
  s.stations = stations(trial, stock, line, record);
  set_residence(s);
  set_balances(s, stock, record, result, m);
  s.strand = strand(trial, stock, s);
  s.limits = limits(trial, stock, line, record, s);
  s.trust = trust(trial, line, result.film);
  s.build_warnings =
      build_warnings(trial.machine.section, trial.machine.zones, trial.screw, trial.machine.die.has_value());
  if (with_spread) s.spread = spread(trial, line, result, s.summary.torque_share);
  return s;
}

// ---- maps ------------------------------------------------------------------------------------------------------

Solved<Summary> map_summary(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchResult& r,
                            const Point& point) {
  if (auto why = find_stop(trial, line, r, point.throughput, point.screw_speed)) return tl::unexpected(std::move(*why));
  return summary_of(trial, stock, r, point.throughput, point.screw_speed);
}

}  // namespace

Solved<LineState> solve(const Trial& trial, bool with_spread) {
  refuse_faulty(trial);
  const Stock stock(trial);
  const MarchLine line = march_line(trial, stock);
  MarchRecord record;
  const double m = throughput(trial);
  const MarchResult result = march(line, {m, trial.screw_speed}, &record);
  if (auto why = find_stop(trial, line, result, m, trial.screw_speed)) return tl::unexpected(std::move(*why));
  return assemble(trial, stock, line, result, record, with_spread);
}

std::vector<Solved<Summary>> solve_map(const Trial& trial, std::span<const Point> points, int threads) {
  refuse_faulty(trial);
  const Stock stock(trial);
  const MarchLine line = march_line(trial, stock);
  std::vector<MarchResult> results(points.size());
  std::atomic<std::size_t> next{0};
  const auto work = [&] { march_queue(line, points, results, next); };
  std::vector<std::jthread> others;
  for (int i = 1; i < threads; ++i) others.emplace_back(work);
  work();
  others.clear();  // waits for them
  std::vector<Solved<Summary>> out;
  for (std::size_t i = 0; i < points.size(); ++i) out.push_back(map_summary(trial, stock, line, results[i], points[i]));
  return out;
}

}  // namespace quern
