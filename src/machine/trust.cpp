#include "machine/trust.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace quern {
namespace {

bool is_computed(const MarchLine::Distinct& distinct) { return distinct.flow.basis != FlowBasis::given; }

bool acts(Closure c, const Trial& trial, const MarchLine& line) {
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
      return !line.all_liquid;
    case Closure::flow_scale:
    case Closure::power_scale:
      return std::ranges::any_of(line.distinct, is_computed);
    case Closure::coolant_rise:
      return line.coolant_capacity > 0 && !trial.machine.chiller->flow;
    case Closure::trough_film:
      return trial.take_off && trial.machine.die;
    default:
      return true;
  }
}

/// Read by the march itself, and not only in what is made of it: limits, residence time distribution, strand.
bool acts_in_march(Closure c) {
  switch (c) {
    case Closure::intake_efficiency:
    case Closure::mixing_length:
    case Closure::plug_share:
    case Closure::zone_cooling_flux:
    case Closure::trough_film:
      return false;
    default:
      return true;
  }
}

bool is_scale(Closure c) { return c == Closure::flow_scale || c == Closure::power_scale; }

/// One sigma of a figure of a computed element, relative.
double uncertainty(const ElementFlow& flow, double MarchLine::FlowScale::* figure) {
  if (figure == &MarchLine::FlowScale::A1) return flow.uncertainty.A1;
  return figure == &MarchLine::FlowScale::B ? flow.uncertainty.B : flow.uncertainty.power;
}

/// Of a closure; flow_scale and power_scale speak for the least certain element.
double uncertainty(const ClosureInfo& c, const MarchLine& line) {
  if (!is_scale(c.closure)) return c.uncertainty;
  double most = 0;
  for (const MarchLine::Distinct& d : line.distinct) {
    const ElementUncertainty& u = d.flow.uncertainty;
    if (is_computed(d)) most = std::max(most, c.closure == Closure::flow_scale ? std::max(u.A1, u.B) : u.power);
  }
  return most;
}

double moved(const ClosureInfo& c, double value) {
  const double up = value * (1 + c.uncertainty);
  return up <= c.highest ? up : value / (1 + c.uncertainty);
}

/// The line once more for everything that is uncertain about it.
class Moves {
 public:
  Moves(const Trial& trial, const MarchLine& line, const MarchResult& base)
      : closures_(trial.closures),
        machine_(trial.machine),
        line_(line),
        base_(base),
        point_{throughput(trial), trial.screw_speed} {}

  void move_closure(const ClosureInfo& c) {
    const bool automatic = c.closure == Closure::barrel_heat_transfer;
    Closures closures = closures_;
    closures.fix(c.closure, moved(c, automatic ? base_.film : closures[c.closure]));
    add(line_, closures);
  }

  /// Elements of a kind rest on the same closure, so they err together.
  void move_elements(ElementKind kind, double MarchLine::FlowScale::* figure) {
    MarchLine line = line_;
    bool any = false;
    for (MarchLine::Distinct& d : line.distinct) {
      if (d.element.kind != kind || !is_computed(d)) continue;
      d.scale.*figure = 1 + uncertainty(d.flow, figure);
      any = true;
    }
    if (any) add(std::move(line), closures_);
  }

  /// Root of the sum of squares.
  Spread total() const {
    return {std::sqrt(sum_.specific_energy), std::sqrt(sum_.mean_residence_time), std::sqrt(sum_.outlet_temperature_K),
            0};
  }

 private:
  const Closures& closures_;
  const Machine& machine_;
  const MarchLine& line_;
  const MarchResult& base_;
  Point point_;
  Spread sum_{};

  void add(MarchLine line, const Closures& closures) {
    apply_closures(line, machine_, closures);
    const MarchResult r = march(line, point_);
    if (!(r.residual < 1e-3) || r.runaway >= 0) return;
    const double energy = r.shaft / base_.shaft - 1, time = r.tau / base_.tau - 1, T = r.T_end - base_.T_end;
    sum_.specific_energy += energy * energy, sum_.mean_residence_time += time * time;
    sum_.outlet_temperature_K += T * T;
  }
};

/// What the figures of the computed elements rest on.
std::string elements_basis(const MarchLine& line) {
  const auto any = [&](FlowBasis basis) {
    return std::ranges::any_of(line.distinct, [&](const auto& d) { return d.flow.basis == basis; });
  };
  const bool beyond =
      std::ranges::any_of(line.distinct, [](const auto& d) { return is_computed(d) && !d.flow.in_range; });
  std::string basis;
  if (any(FlowBasis::solved))
    basis =
        "elements solved from their shapes; uncertainty from comparison with 3D Stokes flow "
        "(docs/theory/element-solver)";
  if (any(FlowBasis::estimated))
    basis +=
        (basis.empty() ? "" : "; ") + std::string("closed formulas for the rest or all (docs/theory/element-flow)");
  return basis + (beyond ? "; some lie outside the range that was compared" : "");
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
                    : is_scale(c.closure) ? elements_basis(line)
                                          : std::string(c.basis),
                    fixed ? 0.0 : uncertainty(c, line), fixed && !trial.calibration.empty()});
  }
  return list;
}

Spread spread(const Trial& trial, const MarchLine& line, const MarchResult& base, double torque_share) {
  using Scale = MarchLine::FlowScale;
  Moves moves(trial, line, base);
  for (const ClosureInfo& c : closure_list())
    if (!trial.closures.is_fixed(c.closure) && !is_scale(c.closure) && acts(c.closure, trial, line) &&
        acts_in_march(c.closure))
      moves.move_closure(c);
  for (const ElementKind kind :
       {ElementKind::conveying, ElementKind::kneading, ElementKind::spacer_ring, ElementKind::blister_ring}) {
    if (!trial.closures.is_fixed(Closure::flow_scale))
      for (const auto figure : {&Scale::A1, &Scale::B}) moves.move_elements(kind, figure);
    if (!trial.closures.is_fixed(Closure::power_scale)) moves.move_elements(kind, &Scale::power);
  }
  Spread s = moves.total();
  s.torque_share = s.specific_energy * torque_share;
  return s;
}

}  // namespace quern
