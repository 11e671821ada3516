#include "machine/march.hpp"

#include <cstdlib>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

/// The mutable arrays of a march, one entry per cell, W lanes each. Kept per thread: nothing is allocated twice.
template <int W>
struct Arrays {
  using V = Pack<W>;
  std::vector<V> full, out, last_full, last_step, pressure, eta, fluid, flow;
  void size(std::size_t n) {
    for (auto* a : {&full, &out, &last_full, &last_step, &eta, &fluid, &flow}) a->assign(n, V{});
    pressure.assign(n + 1, V{});
  }
};

template <int W>
bool any(const Bits<W>& mask) {
  if constexpr (W == 1) return mask != 0;
  else {
    std::int64_t bits = 0;
    for (int i = 0; i < W; ++i) bits |= mask[i];
    return bits != 0;
  }
}

/// One march of W operating points. The steps are named as in docs/theory/line.
template <int W>
class March {
  using V = Pack<W>;
  using Part = MarchLine::Part;
  using Cell = MarchLine::Cell;

 public:
  March(const MarchLine& line, const V& m, const V& N, Arrays<W>& arrays) : line_(line), m_(m), N_(N), a_(arrays) {
    a_.size(line.cells.size());
    log_N_ = vlog(N);
    tip_speed_ = pi * line.D * N;
    set_lane_constants();
  }

  MarchResult<W> run(MarchRecord* record) {
    MarchResult<W> kept{};
    V done{}, last_T{}, last_rise{};
    for (int k = 1; k <= line_.iterations; ++k) {
      downstream(nullptr);
      upstream(damping(k));
      result_.residual = largest_step();
      const V change = vmax(vmax(V(vabs(V(result_.T_end - last_T)) / result_.T_end), pressure_change_),
                            V(vabs(V(rise_ - last_rise)) / 300.0));
      result_.residual = vmax(result_.residual, change);
      last_T = result_.T_end, last_rise = rise_;
      keep_converged(kept, done, k);
      if (every_lane(done)) break;
      accelerate(k);
    }
    for (int i = 0; i < W; ++i)
      if (lane(done, i) == 0) copy_lane(kept, i, line_.iterations);
    if (record) downstream(record);
    return kept;
  }

 private:
  const MarchLine& line_;
  const V m_, N_;
  Arrays<W>& a_;
  MarchResult<W> result_{};
  V log_N_{}, tip_speed_{}, yield_factor_{}, film_{}, rise_{}, pressure_change_{}, ones_ = all<V>(1.0);

  // ---- what does not change along the line ------------------------------------------------------------------

  void set_lane_constants() {
    const Solid& s = line_.granules;
    for (int i = 0; i < W; ++i) {
      const double rate = lane(tip_speed_, i) / std::max(line_.size, 1e-6);
      set_lane(yield_factor_, i,
               line_.all_liquid
                   ? 1.0
                   : yield_stress(s, s.yield_T_ref, rate) / yield_stress(s, s.yield_T_ref, s.yield_rate_ref));
    }
    film_ = line_.film_scale * (line_.film >= 0 ? all<V>(line_.film) : todd_film());
  }

  /// Todd's correlation with the viscosity at a reference state: its exponent is 0.05, a decade is 12 %.
  V todd_film() const {
    const double rho = 1 / line_.v0, D = line_.D, k = line_.k_melt;
    const double cp = line_.heat.step / line_.heat.nodes[node_at(line_.T_ref)].dT;
    const Part& p = line_.parts.front();
    const V eta = viscosity(V(log_N_ + p.log_k_rest), all<V>(line_.T_ref), V{});
    const V re = D * D * rho * N_ / eta, pr = cp * eta / k;
    return (k / D) * 0.94 * vexp(V(0.28 * vlog(re) + 0.33 * vlog(pr)));
  }

  std::size_t node_at(double T) const {
    std::size_t i = 0;
    while (i + 1 < line_.heat.nodes.size() && line_.heat.nodes[i].T < T) ++i;
    return i;
  }

  // ---- property laws ----------------------------------------------------------------------------------------

  /// η(γ̇, T, p) of the melt with fillers; the form of materials/viscosity.hpp, log-additive over polymers.
  V viscosity(const V& log_rate, const V& T, const V& p) const {
    if (line_.polymers.size() == 1) return line_.filler_factor * one_viscosity(line_.polymers.front(), log_rate, T, p);
    V log_eta{};
    for (const auto& polymer : line_.polymers) log_eta += polymer.share * vlog(one_viscosity(polymer, log_rate, T, p));
    return line_.filler_factor * vexp(log_eta);
  }

  static V one_viscosity(const MarchLine::Polymer& polymer, const V& log_rate, const V& T0, const V& p) {
    const Viscosity& v = polymer.eta;
    const V T = vmax(V(T0 - v.D3 * p), v.T_floor);
    const V log_a = v.k0 + v.k1 / (T - v.T_vogel) + v.k2 * T + v.beta * p;
    if (polymer.constant) return v.eta_inf + (v.eta0 - v.eta_inf) * vexp(log_a);
    const V u = v.yasuda * (polymer.log_lambda + (v.superposition ? log_a : V{}) + log_rate);
    const V bracket = v.plateau ? softplus(u) : u;
    return v.eta_inf + (v.eta0 - v.eta_inf) * vexp(V(log_a + (v.n - 1) / v.yasuda * bracket));
  }

  V melt_volume(const V& T, const V& p) const {
    return line_.v0 + line_.v_slope * (T - line_.T_ref) - line_.compress * p;
  }

  /// What the heat table says at an enthalpy.
  struct Heat {
    V T, slope, X, yield, yield_slope;  ///< slopes against T but `slope` = dT/dh
    V beyond;                           ///< 1 outside the table
  };
  Heat heat(const V& h) const {
    const HeatTable& t = line_.heat;
    const double n = static_cast<double>(t.nodes.size() - 2);
    const V u = (h - t.h0) / t.step;
    Heat s{};
    for (int i = 0; i < W; ++i) {
      const double x = lane(u, i), inside = x > 0 && x < n ? x : (x > 0 ? n : 0.0);  // NaN lands at 0
      const auto k = static_cast<std::size_t>(inside);
      const double f = std::min(inside - static_cast<double>(k), 1.0), g = 1 - f;
      const auto &a = t.nodes[k], &b = t.nodes[k + 1];
      const double h0 = (1 + 2 * f) * g * g, h1 = f * f * (3 - 2 * f), s0 = f * g * g, s1 = -f * f * g;
      const double slope = g * a.dT + f * b.dT;
      set_lane(s.T, i, h0 * a.T + h1 * b.T + s0 * a.dT + s1 * b.dT);
      set_lane(s.X, i, h0 * a.X + h1 * b.X + s0 * a.dX + s1 * b.dX);
      set_lane(s.yield, i, h0 * a.Y + h1 * b.Y + s0 * a.dY + s1 * b.dY);
      set_lane(s.yield_slope, i, (g * a.dY + f * b.dY) / slope);
      set_lane(s.slope, i, slope / t.step);
      set_lane(s.beyond, i, x > 0 && x < n ? 0.0 : 1.0);
    }
    return s;
  }

  /// The state at a total enthalpy h under a pressure: what flow work p v takes is not heat.
  Heat thermal(const V& h, const V& p) const {
    if (!any<W>(p > 0.0)) return heat(h);
    const Heat first = heat(V(h - p * melt_volume(all<V>(line_.T_ref), p)));
    return heat(V(h - p * melt_volume(first.T, p)));
  }

  // ---- closures of one cell ---------------------------------------------------------------------------------

  /// Granules sheared on the tip lands and between the screws, per length of screw.
  struct Friction {
    V power, film_T, stress;
  };
  Friction friction(const Part& part, const Heat& state, const V& load) const {
    const double c = part.kneading ? line_.engage : line_.engage_conveying;
    const V yield = state.yield * yield_factor_;
    const V softening = vmax(V(-state.yield_slope * yield_factor_), 0.0);
    // film: mean flux c τ U for film_time/N; the rise lowers the stress that makes it, so τ = τy(T)/(1 + rise · slope)
    const V flux_time = all<V>(line_.film_time) / (pi * line_.k_solid * line_.rho_solid * line_.cp_solid * N_);
    const V rise = 2.0 * c * tip_speed_ * sqrt_of(flux_time);
    const V stress = vmin(V(yield / (1.0 + rise * softening)), line_.friction * line_.normal_stress);
    const V speed_land = tip_speed_ * part.land + 2.0 * pi * N_ * line_.centre * part.nip_land;
    return {V(c * stress * speed_land * load), V(state.T + rise * stress), stress};
  }
  static V sqrt_of(const V& x) { return vexp(V(0.5 * vlog(x))); }

  /// Share of unmelted granules taken into the melt per second: tip passages, more of it where the stock is more than
  /// 20 K over the melting point, and conduction to a sphere.
  V melting_rate(const Part& part, const V& fill, const V& T, double wall) const {
    const double action = part.kneading ? line_.action : line_.action_conveying;
    const V drive = vmax(V(vmax(T, wall) - line_.T_melt), 5.0);
    const double heat = line_.rho_solid * (line_.fusion / line_.polymer_share +
                                           line_.cp_solid * std::max(line_.T_melt - line_.T_feed, 1.0));
    const V conduction = 4.0 * line_.nusselt * line_.k_melt * drive / (heat * line_.size * line_.size);
    return 2.0 * line_.tip_starts * N_ * action * fill * vmax(V(drive / 20.0), ones_) + conduction;
  }

  /// Krieger & Dougherty for the unmelted granules, at most what their yield allows.
  V granule_factor(const V& X, const V& yield, const V& melt_stress) const {
    const V phi = vmin(V((1.0 - X) * (line_.solid_volume_share / line_.phi_max)), 0.95);
    const V kd = vexp(V(-2.5 * line_.phi_max * vlog(V(1.0 - phi))));
    return vmin(kd, vmax(V(yield / melt_stress), 1.0));
  }

  // ---- from the feed: energy, melting, fill ---------------------------------------------------------------

  void downstream(MarchRecord* record) {
    reset_sums();
    V h = all<V>(line_.feed_h), X = line_.all_liquid ? ones_ : heat(h).X;
    for (std::size_t i = 0; i < line_.cells.size(); ++i) step(i, h, X, record);
    const V p = a_.pressure.back();
    const V T = thermal(h, p).T;
    const auto lost = (result_.runaway < 0.0) & (thermal(h, V{}).beyond > 0.0);
    result_.runaway = lost ? all<V>(static_cast<double>(line_.cells.size() - 1)) : result_.runaway;
    result_.h_end = h;
    result_.T_end = T;
    result_.T_max = vmax(result_.T_max, T);
    result_.X_end = X;
    result_.V_end = m_ * melt_volume(T, p);
    update_coolant();
  }

  void reset_sums() {
    const V p_die = result_.p_die;
    result_ = MarchResult<W>{};
    result_.p_die = p_die;
    result_.flooded = result_.choked = result_.runaway = all<V>(-1.0);
    result_.choke_ratio = ones_;
    result_.film = film_;
  }

  void step(std::size_t i, V& h, V& X, MarchRecord* record) {
    const Cell& cell = line_.cells[i];
    const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
    const double dz = cell.dz;
    const V p = a_.pressure[i], full = a_.full[i];
    const Heat state = thermal(h, p);
    const V T = state.T, v = melt_volume(T, p), melted = line_.all_liquid ? ones_ : V(X > 1 - 1e-7 ? ones_ : X);
    const V fluid = smooth_step(V(melted / 0.3));
    result_.runaway = (result_.runaway < 0.0) & ((state.beyond > 0.0) | (T > line_.T_most))
                          ? all<V>(static_cast<double>(i))
                          : result_.runaway;

    // melt: throughput, viscosities, power
    const V volume = m_ * v, drag = part.A1 * N_ * (line_.D * line_.D * line_.D);
    V eta_rest = ones_, eta_tip = ones_, eta_p = ones_;  // dry granules: multiplied by nothing
    if (any<W>(fluid > 0.0)) {
      eta_rest = viscosity(V(log_N_ + part.log_k_rest), T, p);
      eta_tip = viscosity(V(log_N_ + part.log_k_tip), T, p);
      eta_p = viscosity(V(log_N_ + part.log_k_pressure), T, p);
    }
    V factor = ones_;
    Friction granules{V{}, T, V{}};
    V fill_solid = ones_;
    if (any<W>(melted < 1.0)) {
      factor = granule_factor(melted, V(state.yield * yield_factor_), V(eta_rest * part.k_rest * N_));
      eta_p *= factor;
      fill_solid = granule_fill(i, part, cell, fluid);
      granules = friction(part, state, fill_solid);
    }
    const V fill_free = drag > 0.0 ? vmin(V(volume / vmax(drag, 1e-300)), 1.0) : ones_;
    const V fill_melt = full + (1.0 - full) * fill_free;
    const V fill = fluid * fill_melt + (1.0 - fluid) * fill_solid;
    const V scale = N_ * N_ * (line_.D * line_.D);
    const V couette = scale * factor * (eta_tip * part.c_tip + eta_rest * part.c_rest);
    const V excess = part.A1 - volume / (N_ * (line_.D * line_.D * line_.D));
    const V pumping = full * scale * eta_p * part.P1_over * excess;
    const V melt_power = fluid * (fill_melt * couette + pumping);
    const V flow_work = fluid * full * volume * eta_p * (drag - volume) / part.B_D4;
    const V solid_power = (1.0 - fluid) * granules.power;
    const V power = melt_power + solid_power;

    // wall: implicit in the temperature it changes. A partly filled channel holds a pool against the pushing flight; pools
    // of similar shape wet a width that goes as the square root of their area
    const V wetted = sqrt_of(V(fill + 1e-12));
    const bool chilled = line_.chilled[static_cast<std::size_t>(cell.zone)] != 0;
    const V wall = all<V>(line_.zone_T[static_cast<std::size_t>(cell.zone)]) + (chilled ? rise_ : V{});
    const V K = wetted * (fluid * film_ + (1.0 - fluid) * line_.film_solid) * (part.bore * dz);
    const V dh = (power * dz + K * (wall - T)) / (m_ + K * state.slope);
    const V from_wall = m_ * dh - power * dz;

    // melting follows equilibrium at a finite rate; freezing is at once
    const double bulk = part.kneading ? line_.bulk_compacted : line_.bulk_loose;
    const V held = part.free_area * dz * (fluid * fill_melt / v + (1.0 - fluid) * fill_solid * bulk);
    const V tau = held / m_;
    V X_new = melted;
    if (!line_.all_liquid) {
      const V r = tau * melting_rate(part, fill, T, line_.zone_T[static_cast<std::size_t>(cell.zone)]);
      X_new = state.X > melted ? V(melted + (state.X - melted) * r / (1.0 + r)) : state.X;
    }

    a_.eta[i] = eta_p, a_.fluid[i] = fluid, a_.flow[i] = volume;
    h += dh;
    X = X_new;
    const Passed passed{X,    V(power * dz),     V(solid_power * dz), V((melt_power - flow_work) * dz),
                        fill, V(flow_work * dz), V(full * fluid),     tau,
                        wall, from_wall,         V(granules.film_T),  T};
    sum(passed, cell, chilled);
    if constexpr (W == 1)
      if (record) keep(*record, i, h, passed);
  }

  /// What the stock went through in one cell; energies in W, over the cell.
  struct Passed {
    V X, energy, friction, dissipation, fill, flow_work, full, tau, wall, from_wall, film_T, T_in;
  };

  /// Fill by granules, and whether the cell can take them.
  V granule_fill(std::size_t i, const Part& part, const Cell& cell, const V& fluid) {
    if (!part.forward) return all<V>(part.kneading ? line_.packing : 1.0);
    const V capacity = line_.bulk_loose * part.free_area * part.advance * N_;
    const V load = m_ / (line_.convey * capacity);
    const V ratio = cell.under_feed ? vmax(load, V(m_ / (line_.intake * capacity))) : load;
    const auto over = (ratio > 1.0) & (fluid < 0.5);
    result_.choked =
        over & (result_.choked < 0.0) ? all<V>(static_cast<double>(i)) : result_.choked;  // the first counts
    result_.choke_ratio = over ? vmax(ratio, result_.choke_ratio) : result_.choke_ratio;
    return vmin(load, 1.0);
  }

  void sum(const Passed& c, const Cell& cell, bool chilled) {
    const V zero{};
    const auto is_melt = c.X > 0.99, is_solid = c.X < 0.01;
    result_.shaft += c.energy;
    result_.friction += c.friction;
    result_.melting += is_melt ? zero : c.dissipation;
    result_.shear += is_melt ? c.dissipation : zero;
    result_.flow_work += c.flow_work;
    result_.tau += c.tau;
    result_.tau_solid += is_solid ? c.tau : zero, result_.e_solid += is_solid ? c.energy : zero;
    result_.tau_melt += is_melt ? c.tau : zero, result_.e_melt += is_melt ? c.energy : zero;
    result_.fill_length += c.fill * cell.dz;
    result_.filled += c.full * cell.dz;
    result_.heat_in += vmax(c.from_wall, 0.0);
    result_.heat_out += vmax(V(-c.from_wall), 0.0);
    if (chilled) result_.chiller += vmax(V(-c.from_wall), 0.0);
    result_.T_max = vmax(result_.T_max, c.T_in);
  }

  void keep(MarchRecord& r, std::size_t i, double h, const Passed& c) const {
    const double p = a_.pressure[i + 1], T = thermal(h, p).T;
    r.T.push_back(T), r.X.push_back(c.X), r.film_T.push_back(c.X > 0.99 ? T : std::max(c.film_T, T));
    r.p_up.push_back(a_.pressure[i]), r.p.push_back(p);
    r.fill.push_back(c.fill), r.full.push_back(c.full), r.tau.push_back(c.tau);
    r.wall_T.push_back(c.wall), r.heat.push_back(c.from_wall);
    r.energy.push_back(c.energy), r.friction.push_back(c.friction), r.flow_work.push_back(c.flow_work);
    r.melting.push_back(c.X > 0.99 ? 0.0 : c.dissipation), r.shear.push_back(c.X > 0.99 ? c.dissipation : 0.0);
    r.through.push_back(through(i, p));
  }

  /// Throughput of a full cell of melt over what drag and the pressure gradient carry; 1 where it is not full.
  double through(std::size_t i, double p) const {
    if (a_.fluid[i] != 1 || a_.full[i] != 1) return 1;
    const Cell& cell = line_.cells[i];
    const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
    const double drag = part.A1 * N_ * std::pow(line_.D, 3), G = (p - a_.pressure[i]) / cell.dz;
    const double carried = drag - part.B_D4 * G / a_.eta[i];
    return 1 + (a_.flow[i] - carried) / std::max(std::fabs(a_.flow[i]), std::fabs(drag));
  }

  /// The coolant warms by its duty; halved, since zones see the mean of supply and return.
  void update_coolant() {
    if (line_.coolant_capacity > 0) rise_ = 0.5 * result_.chiller / line_.coolant_capacity;
    for (int i = 0; i < W; ++i)
      if (!(lane(rise_, i) < 200)) set_lane(rise_, i, 200);
  }

  // ---- from the die: pressure and fill --------------------------------------------------------------------

  void upstream(double damp) {
    V p = die_pressure(), moved{};
    result_.p_die = p;
    V rise = vmin(vmax(V(p - a_.pressure.back()), -2e8), 2e8);  // over the last pass's pressure at the same place
    a_.pressure.back() = p;
    for (std::size_t i = line_.cells.size(); i-- > 0;) {
      const Cell& cell = line_.cells[i];
      const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
      const V drag = part.A1 * N_ * (line_.D * line_.D * line_.D);
      // the stored viscosity is that of the last pass's pressure; most of its change with pressure is put right here
      const V eta = line_.thickening > 0 ? V(a_.eta[i] * vexp(V(line_.thickening * rise))) : a_.eta[i];
      const V built = a_.fluid[i] * eta * (drag - a_.flow[i]) / part.B_D4 * cell.dz;
      const V before = p - built;
      const V share = built > 0.0 ? clamp01(V(p / vmax(built, 1e-300))) : V{};
      a_.out[i] = before > 0.0 ? ones_ : share;
      // a bed of granules carries no melt pressure: what is left dies away within half a diameter
      p = vmin(vmax(before, 0.0), 1e12) * (1.0 - (1.0 - a_.fluid[i]) * std::min(1.0, cell.dz / (0.5 * line_.D)));
      moved = vmax(moved, V(vabs(V(p - a_.pressure[i])) / (p + 1e5)));
      rise = vmin(vmax(V(p - a_.pressure[i]), -2e8), 2e8);
      a_.pressure[i] += damp * (p - a_.pressure[i]);
      const auto flooded = cell.open ? (p > 1.0) & (a_.fluid[i] > 0.5) : p < -1.0;
      result_.flooded = flooded ? all<V>(static_cast<double>(i)) : result_.flooded;
    }
    pressure_change_ = moved;
    const auto backed = (p > 1.0) & (result_.flooded < 0.0);
    result_.flooded = backed ? V{} : result_.flooded;
  }

  V die_pressure() const {
    if (!line_.die) return V{};
    if (line_.die->kind == Die::Kind::curve) {
      V p{};
      for (int i = 0; i < W; ++i) set_lane(p, i, die_flow(*line_.die, lane(m_, i), 1, Viscosity{}, 1, 300).pressure);
      return p;
    }
    const V rate = vmax(V(line_.die_rate * result_.V_end), 1e-12);
    const V eta = viscosity(vlog(rate), result_.T_end, V(0.5 * result_.p_die));
    return vmin(V(line_.die_resistance * eta * result_.V_end), 1e12);
  }

  // ---- the fixed point ------------------------------------------------------------------------------------

  V largest_step() const {
    V most{};
    for (std::size_t i = 0; i < a_.full.size(); ++i) most = vmax(most, vabs(V(a_.out[i] - a_.full[i])));
    return most;
  }

  /// Whole steps first; what still swings after thirty passes is damped, more and more.
  static double damping(int k) { return k <= 30 ? 1.0 : k <= 60 ? 0.5 : k <= 110 ? 0.2 : 0.07; }

  /// Anderson mixing of depth one on the full share of every cell, lane by lane; later damped.
  void accelerate(int k) {
    const double damp = damping(k);
    V dot{}, norm = all<V>(1e-300);
    if (k > 1)
      for (std::size_t i = 0; i < a_.full.size(); ++i) {
        const V step = damp * (a_.out[i] - a_.full[i]), change = step - a_.last_step[i];
        dot += step * change;
        norm += change * change;
      }
    const V theta = vmin(vmax(V(dot / norm), -1.0), 0.9);
    for (std::size_t i = 0; i < a_.full.size(); ++i) {
      const V step = damp * (a_.out[i] - a_.full[i]);
      const V here = a_.full[i] + step, last = a_.last_full[i] + a_.last_step[i];
      const V next = here - theta * (here - last);
      a_.last_full[i] = a_.full[i], a_.last_step[i] = step;
      a_.full[i] = clamp01(next);
    }
  }

  void keep_converged(MarchResult<W>& kept, V& done, int k) const {
    for (int i = 0; i < W; ++i) {
      if (lane(done, i) != 0 || !(lane(result_.residual, i) < line_.tolerance)) continue;
      copy_lane(kept, i, k);
      set_lane(done, i, 1);
    }
  }

  void copy_lane(MarchResult<W>& kept, int i, int k) const {
    const auto* from = reinterpret_cast<const double*>(&result_);
    auto* to = reinterpret_cast<double*>(&kept);
    for (std::size_t j = 0; j < sizeof(MarchResult<W>) / sizeof(V); ++j)
      to[j * W + static_cast<std::size_t>(i)] = from[j * W + static_cast<std::size_t>(i)];
    set_lane(kept.iterations, i, k);
  }

  static bool every_lane(const V& done) {
    for (int i = 0; i < W; ++i)
      if (lane(done, i) == 0) return false;
    return true;
  }
};

}  // namespace

template <int W>
MarchResult<W> march(const MarchLine& line, const Pack<W>& m, const Pack<W>& N, MarchRecord* record) {
  static thread_local Arrays<W> arrays;
  return March<W>(line, m, N, arrays).run(record);
}

template MarchResult<1> march<1>(const MarchLine&, const Pack<1>&, const Pack<1>&, MarchRecord*);
template MarchResult<8> march<8>(const MarchLine&, const Pack<8>&, const Pack<8>&, MarchRecord*);

}  // namespace quern
