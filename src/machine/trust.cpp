#include "machine/trust.hpp"

#include <cmath>

namespace quern {
namespace {

bool acts(Closure c, const Trial& trial, const MarchLine& line) {
  const bool liquid = line.all_liquid, open_end = !trial.machine.die;
  switch (c) {
    case Closure::solid_heat_transfer:
    case Closure::solid_engagement:
    case Closure::solid_engagement_conveying:
    case Closure::solid_normal_stress:
    case Closure::solid_conveying:
    case Closure::solid_film_time:
    case Closure::intake_efficiency:
    case Closure::kneading_packing:
    case Closure::melting_action:
    case Closure::melting_action_conveying:
    case Closure::particle_nusselt:
    case Closure::solid_packing:
      return !liquid;
    case Closure::coolant_rise:
      return line.coolant_capacity > 0 && !trial.machine.chiller->flow;
    case Closure::trough_film:
      return trial.take_off && !open_end;
    default:
      return true;
  }
}

/// The line with one closure moved.
MarchLine moved(const MarchLine& line, Closure c, double factor) {
  MarchLine l = line;
  switch (c) {
    case Closure::barrel_heat_transfer:
      l.film_scale *= factor;
      break;
    case Closure::solid_heat_transfer:
      l.film_solid *= factor;
      break;
    case Closure::solid_engagement:
      l.engage *= factor;
      break;
    case Closure::solid_engagement_conveying:
      l.engage_conveying *= factor;
      break;
    case Closure::solid_normal_stress:
      l.normal_stress *= factor;
      break;
    case Closure::solid_conveying:
      l.convey *= factor;
      break;
    case Closure::solid_film_time:
      l.film_time *= factor;
      break;
    case Closure::kneading_packing:
      l.packing = std::min(1.0, l.packing / factor);
      break;
    case Closure::melting_action:
      l.action *= factor;
      break;
    case Closure::melting_action_conveying:
      l.action_conveying *= factor;
      break;
    case Closure::particle_nusselt:
      l.nusselt *= factor;
      break;
    case Closure::solid_packing:
      l.phi_max *= factor;
      break;
    case Closure::flow_scale:
      for (auto& p : l.parts) p.A1 *= factor, p.B_D4 *= factor;
      break;
    case Closure::power_scale:
      for (auto& p : l.parts) p.c_tip *= factor, p.c_rest *= factor;
      break;
    default:
      break;  // intake, mixing, coolant, trough: no part in these results
  }
  return l;
}

}  // namespace

std::vector<Trust> trust(const Trial& trial, const MarchLine& line, double film) {
  std::vector<Trust> list;
  for (const ClosureInfo& c : closure_list()) {
    if (!acts(c.closure, trial, line)) continue;
    const bool fixed = trial.closures.is_fixed(c.closure);
    const bool automatic = c.closure == Closure::barrel_heat_transfer && !fixed;
    list.push_back({std::string(c.name), automatic ? film : trial.closures[c.closure], std::string(info(c.kind).si),
                    fixed ? (trial.calibration.empty() ? "fixed in the project" : "calibration " + trial.calibration)
                          : std::string(c.basis),
                    fixed ? 0.0 : c.uncertainty, fixed && !trial.calibration.empty()});
  }
  return list;
}

Spread spread(const Trial& trial, const MarchLine& line, const MarchResult& base, double torque_share) {
  Spread s;
  const Point point{throughput(trial), trial.screw_speed};
  for (const ClosureInfo& c : closure_list()) {
    if (trial.closures.is_fixed(c.closure) || !acts(c.closure, trial, line)) continue;
    const bool computed_flow = c.closure != Closure::flow_scale && c.closure != Closure::power_scale;
    if (!computed_flow && !line.computed_elements) continue;
    const MarchResult r = march(moved(line, c.closure, 1 + c.uncertainty), point);
    if (!(r.residual < 1e-3) || r.runaway >= 0) continue;
    const double energy = (r.shaft - base.shaft) / base.shaft, time = (r.tau - base.tau) / base.tau,
                 T = r.T_end - base.T_end;
    s.specific_energy += energy * energy, s.mean_residence_time += time * time, s.outlet_temperature_K += T * T;
  }
  s.specific_energy = std::sqrt(s.specific_energy), s.mean_residence_time = std::sqrt(s.mean_residence_time);
  s.outlet_temperature_K = std::sqrt(s.outlet_temperature_K);
  s.torque_share = s.specific_energy * torque_share;
  return s;
}

}  // namespace quern
