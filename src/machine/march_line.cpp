#include "machine/march_line.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "base/straight_lines.hpp"
#include "flow/heat_transfer.hpp"
#include "geometry/port_opening.hpp"
namespace quern {
namespace {

using std::numbers::pi;

MarchLine::Part part(const MarchLine::Distinct& distinct, double D, const Closures& closures) {
  const auto& [element, flow, scale, thinning] = distinct;
  const double flow_scale = flow.basis == FlowBasis::given ? 1 : closures[Closure::flow_scale];
  const double power = flow.basis == FlowBasis::given ? 1 : closures[Closure::power_scale] * scale.power;
  const double c = flow.line.P0 - flow.line.P1 * flow.line.A1;  // Couette part: P* where the pressure gradient vanishes
  const double fall = thinning.throughput;
  MarchLine::Part p{};
  p.A1 = flow.line.A1 * fall * flow_scale * scale.A1;
  p.B_D4 = flow.line.B * flow_scale * scale.B * D * D * D * D;
  p.P1_over = flow.line.P1 * fall * scale.A1 / scale.B;  // reciprocity: P1 = A1/B
  p.c_tip = power * flow.tip_power;
  p.c_rest = power * c - p.c_tip;
  p.k_rest = thinning.rate_power;
  p.free_area = flow.free_area, p.bore = flow.wetted_bore, p.land = flow.tip_land;
  p.nip_land = flow.tip_land / (2 * std::max(1, element.starts));
  p.advance = flow.solid_advance;
  p.kneading = element.kind == ElementKind::kneading;
  p.forward = element.kind == ElementKind::conveying && flow.solid_advance > 0;
  const auto log_rate = [](double per_turn) { return std::log(std::max(per_turn, 1e-9)); };
  p.log_k_tip = log_rate(flow.tip_shear_rate), p.log_k_rest = log_rate(p.k_rest);
  p.log_k_pressure = log_rate(thinning.rate_pressure);
  p.per_A1 = 1 / p.A1, p.per_B_D4 = 1 / p.B_D4;
  return p;
}

int zone_at(const std::vector<Zone>& zones, double position) {
  double end = 0;
  for (std::size_t i = 0; i < zones.size(); ++i) {
    end += zones[i].length;
    if (position < end) return static_cast<int>(i);
  }
  return static_cast<int>(zones.size()) - 1;
}

/// Cells end at element borders and at zone borders, so that no cell has two of either.
std::vector<double> cell_edges(const Trial& trial) {
  std::vector<double> borders{0};
  double at = 0;
  for (const Zone& zone : trial.machine.zones) borders.push_back(at += zone.length);
  at = 0;
  for (const Element& element : trial.screw.elements) borders.push_back(at += element.length);
  std::sort(borders.begin(), borders.end());
  const double length = at;
  std::vector<double> edges{0};
  for (const double border : borders) {
    const double to = std::min(border, length), gap = to - edges.back();
    if (gap < 1e-7 * length) continue;
    const int n = std::max(1, static_cast<int>(std::lround(gap / length * trial.numerics.cells)));
    const double from = edges.back();
    for (int i = 1; i <= n; ++i) edges.push_back(i == n ? to : from + gap * i / n);
  }
  edges.back() = length;
  return edges;
}

/// As solved, if the trial has that; else by closed formulas. @param nips by number of starts, filled as needed
ElementFlow flow_of(const Element& element, const Trial& trial, std::map<int, double>& nips) {
  const Section& section = trial.machine.section;
  const bool has_shape = element.kind == ElementKind::conveying || element.kind == ElementKind::kneading;
  if (has_shape && trial.elements && !element.characteristics)
    if (const ElementSolution* solution = trial.elements->find(shape_of(section, element).shape))
      return solved_element_flow(section, element, *solution);
  if (!nips.contains(element.starts)) nips[element.starts] = nip_couette(section, element.starts);
  return element_flow(section, element, nips[element.starts]);
}

/// The elements that differ, and which of them each one is.
std::vector<int> set_distinct(MarchLine& line, const Trial& trial) {
  std::vector<int> which;
  std::map<int, double> nips;  // by number of starts
  for (const Element& element : trial.screw.elements) {
    const auto same = std::ranges::find(line.distinct, element, &MarchLine::Distinct::element);
    which.push_back(static_cast<int>(same - line.distinct.begin()));
    if (same != line.distinct.end()) continue;
    line.distinct.push_back({element, flow_of(element, trial, nips), {}, {}});
  }
  return which;
}

void set_cells(MarchLine& line, const Trial& trial) {
  const std::vector<int> part_of = set_distinct(line, trial);
  const std::vector<Placed> places = placement(trial.screw);
  const std::vector<PortOpening> openings = port_openings(trial.machine.zones, trial.machine.section.screw_diameter);
  const std::vector<double> edges = cell_edges(trial);
  std::size_t element = 0;
  for (std::size_t i = 0; i + 1 < edges.size(); ++i) {
    const double middle = 0.5 * (edges[i] + edges[i + 1]);
    while (element + 1 < places.size() && middle > places[element].to) ++element;
    MarchLine::Cell cell{
        part_of[element], zone_at(trial.machine.zones, middle), edges[i + 1] - edges[i], edges[i], false, false};
    for (const PortOpening& o : openings) {
      cell.open |= middle >= o.place.from && middle <= o.place.to;
      // what lies before the feed's opening takes feed as well
      cell.under_feed |= o.port == Port::feed && middle <= o.place.to;
    }
    line.cells.push_back(cell);
    line.element_of.push_back(static_cast<int>(element));
  }
}

/// The cubic with these values and slopes at 0 and 1 (Hermite).
MarchLine::Cubic cubic(double from, double slope_from, double to, double slope_to) {
  const double rise = to - from;
  return {from, slope_from, 3 * rise - 2 * slope_from - slope_to, slope_from + slope_to - 2 * rise};
}

void set_heat(MarchLine& line, const Stock& stock) {
  line.heat = heat_table(stock);
  const auto& nodes = line.heat.nodes;
  for (std::size_t i = 0; i + 1 < nodes.size(); ++i) {
    const HeatTable::Node &a = nodes[i], &b = nodes[i + 1];
    line.heat_T.push_back(cubic(a.T, a.dT, b.T, b.dT));
    line.heat_X.push_back(cubic(a.X, a.dX, b.X, b.dX));
    line.heat_Y.push_back(cubic(a.Y, a.dY, b.Y, b.dY));
  }
}

void set_stock(MarchLine& line, const Stock& stock) {
  set_heat(line, stock);
  line.feed_h = stock.feed_enthalpy, line.T_feed = stock.feed_temperature;
  line.fusion = stock.fusion, line.T_melt = stock.T_melt, line.all_liquid = stock.all_liquid;
  line.T_most = stock.all_liquid ? 1000 : 773.15;
  line.size = stock.size, line.friction = stock.friction;
  line.cp_solid = stock.heat_capacity_solid, line.k_solid = stock.conductivity_solid,
  line.k_melt = stock.conductivity_melt;
  line.rho_solid = stock.density_solid, line.bulk_loose = stock.bulk_loose, line.bulk_compacted = stock.bulk_compacted;
  line.solid_volume_share = stock.polymer_volume_share, line.polymer_share = stock.polymer_share;
  line.granules = stock.polymers().front().material.solid;
  const double T = stock.all_liquid ? stock.feed_temperature : stock.T_melt + 40;
  line.T_ref = T;
  line.v0 = 1 / stock.melt_density(T, 0);
  line.v_slope = (1 / stock.melt_density(T + 30, 0) - 1 / stock.melt_density(T - 30, 0)) / 60;
  line.compress = (line.v0 - 1 / stock.melt_density(T, 1e7)) / 1e7;
  line.filler_factor = stock.filler_factor(T);
  for (const Stock::Polymer& p : stock.polymers()) {
    const Viscosity& eta = p.material.viscosity;
    line.thickening += p.share * eta.beta * (eta.superposition ? eta.n : 1);
    line.polymers.push_back({eta, p.share, std::log(std::max(eta.lambda, 1e-300)), eta.n == 1 || eta.lambda <= 0,
                             (eta.n - 1) / eta.yasuda});
  }
}

void set_die(MarchLine& line, const std::optional<Die>& die) {
  if (!die) return;
  line.die = &*die;
  const double n = die->count;
  switch (die->kind) {
    case Die::Kind::curve:
      return;
    case Die::Kind::strand: {  // representative viscosity at 0.815 of the apparent rate: Schümmer & Worthoff (1978)
      const double R = die->diameter / 2;
      line.die_resistance = 8 * die->land / (pi * R * R * R * R * n);
      line.die_rate = 0.815 * 4 / (pi * R * R * R * n);
      return;
    }
    case Die::Kind::slit: {  // 0.79 between plates
      const double H = die->height, W = die->width;
      line.die_resistance = 12 * die->land / (W * H * H * H * n);
      line.die_rate = 0.79 * 6 / (W * H * H * n);
      return;
    }
    case Die::Kind::annulus: {
      const double Ro = die->diameter / 2, k = die->core / die->diameter, H = Ro * (1 - k), W = pi * Ro * (1 + k);
      const double shape = 1 - std::pow(k, 4) - std::pow(1 - k * k, 2) / std::log(1 / k);
      line.die_resistance = 8 * die->land / (pi * std::pow(Ro, 4) * shape * n);
      line.die_rate = 0.79 * 6 / (W * H * H * n);
      return;
    }
  }
}

void set_closures(MarchLine& line, const Closures& c) {
  line.film = c.is_fixed(Closure::barrel_heat_transfer) ? c[Closure::barrel_heat_transfer] : -1;
  line.film_solid =
      c.is_fixed(Closure::barrel_heat_transfer) && !c.is_fixed(Closure::solid_heat_transfer) && line.film == 0
          ? 0  // an adiabatic barrel is adiabatic everywhere
          : c[Closure::solid_heat_transfer];
  line.engage = c[Closure::solid_engagement], line.engage_conveying = c[Closure::solid_engagement_conveying];
  line.normal_stress = c[Closure::solid_normal_stress], line.convey = c[Closure::solid_conveying];
  line.film_time = c[Closure::solid_film_time], line.intake = c[Closure::intake_efficiency];
  line.packing = c[Closure::kneading_packing], line.action = c[Closure::melting_action];
  line.action_conveying = c[Closure::melting_action_conveying], line.nusselt = c[Closure::particle_nusselt];
  line.phi_max = c[Closure::solid_packing];
}

void set_coolant(MarchLine& line, const Machine& machine, const Closures& closures) {
  line.coolant_capacity = 0;
  if (!machine.chiller || machine.chiller->capacity.empty()) return;
  double coldest = 1e9;
  for (std::size_t i = 0; i < line.chilled.size(); ++i)
    if (line.chilled[i]) coldest = std::min(coldest, line.zone_T[i]);
  if (coldest < 1e8) line.coolant_capacity = coolant_capacity(*machine.chiller, coldest, closures);
}

/// Power-law index of the melt where an element reads its viscosity: d ln(η γ̇)/d ln γ̇, polymers by their shares.
double local_index(const MarchLine& line, double rate) {
  constexpr double step = 1.05;
  double n = 0;
  for (const MarchLine::Polymer& p : line.polymers)
    n +=
        p.share * (1 + std::log(viscosity(p.eta, rate * step, line.T_ref) / viscosity(p.eta, rate / step, line.T_ref)) /
                           (2 * std::log(step)));
  return std::clamp(n, 0.05, 1.0);
}

/// How the liquid's own thinning moves each element's figures, at half of the machine's highest speed so that a map and
/// its points agree: the index of a melt changes little over the speeds of one machine.
void set_thinning(MarchLine& line, const Machine& machine) {
  const double N = machine.drive.speed_max / 2;
  for (MarchLine::Distinct& d : line.distinct) {
    const ThinningFigures newtonian = thinning_at(d.flow, 1);
    d.thinning = thinning_at(d.flow, local_index(line, newtonian.rate_pressure * N));
    d.thinning.rate_power = thinning_at(d.flow, local_index(line, newtonian.rate_power * N)).rate_power;
  }
}

}  // namespace

double chiller_capacity(const Chiller& chiller, double T) {
  return chiller.capacity.empty() ? 0 : std::max(0.0, straight_lines(chiller.capacity, T));
}

double coolant_capacity(const Chiller& chiller, double T, const Closures& closures) {
  if (!chiller.flow) return chiller_capacity(chiller, T) / std::max(closures[Closure::coolant_rise], 1e-6);
  const Coolant coolant = glycol_water(chiller.glycol, std::max(T, freezing_point(chiller.glycol) + 0.5));
  return *chiller.flow * coolant.density * coolant.heat_capacity;
}

void apply_closures(MarchLine& line, const Machine& machine, const Closures& closures) {
  line.parts.clear();
  for (const MarchLine::Distinct& distinct : line.distinct) line.parts.push_back(part(distinct, line.D, closures));
  set_closures(line, closures);
  set_coolant(line, machine, closures);
}

MarchLine march_line(const Trial& trial, const Stock& stock) {
  MarchLine line;
  line.D = trial.machine.section.screw_diameter;
  line.centre = trial.machine.section.centre_distance;
  line.tip_starts = trial.machine.section.starts;
  line.zone_T = trial.zone_temperature;
  for (const Zone& zone : trial.machine.zones) line.chilled.push_back(zone.cooling == Cooling::chiller);
  set_cells(line, trial);
  set_stock(line, stock);
  set_die(line, trial.machine.die);
  set_thinning(line, trial.machine);
  apply_closures(line, trial.machine, trial.closures);
  line.iterations = trial.numerics.iterations;
  line.tolerance = trial.numerics.tolerance;
  return line;
}

}  // namespace quern
