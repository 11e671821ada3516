#include "machine/march.hpp"

#include <array>
#include <bit>

#include "machine/march_closures.hpp"

namespace quern {
namespace {

/// The mutable arrays of a march, one entry per cell, W lanes each. Kept per thread: nothing is allocated twice.
template <int W>
struct Arrays {
  using V = Pack<W>;
  std::vector<V> full, out, last_full, last_step, pressure, eta, fluid, flow;
  void size(std::size_t n) {
    for (auto* a : {&full, &out, &last_full, &last_step, &eta, &fluid, &flow}) a->assign(n, V{});
    pressure.assign(n + 1, V{});
  }
  void clear_lane(int lane) {
    for (auto* a : {&full, &out, &last_full, &last_step, &eta, &fluid, &flow, &pressure})
      for (V& v : *a) set_lane(v, lane, 0);
  }
};

/// One march of W operating points. The steps are named as in docs/theory/line.
template <int W>
class March {
  using V = Pack<W>;
  using Part = MarchLine::Part;
  using Cell = MarchLine::Cell;
  using Laws = MarchLaws<W>;

 public:
  March(const MarchLine& line, Arrays<W>& arrays) : line_(line), a_(arrays) { a_.size(line.cells.size()); }

  MarchResult run(const Point& point, MarchRecord* record)
    requires(W == 1)
  {
    point_ = march_point<W>(line_, laws_, point.throughput, point.screw_speed);
    pass();
    while (!is_done(0)) {
      accelerate();
      pass();
    }
    const MarchResult found = result_;
    if (record) downstream(record);
    return found;
  }

  void run_queue(std::span<const Point> points, std::span<MarchResult> results, std::atomic<std::size_t>& next) {
    std::array<std::size_t, W> at{};
    V idle{}, m = all<V>(points.front().throughput), N = all<V>(points.front().screw_speed);
    const auto take = [&](int i) {  // a lane for which the queue has no point repeats its last one, unheard
      const std::size_t point = at[static_cast<std::size_t>(i)] = next++;
      if (point < points.size()) set_lane(m, i, points[point].throughput), set_lane(N, i, points[point].screw_speed);
      else set_lane(idle, i, 1);
    };
    for (int i = 0; i < W; ++i) take(i);
    point_ = march_point<W>(line_, laws_, m, N);
    while (any<W>(idle == 0.0)) {
      pass();
      accelerate();
      bool fresh = false;
      for (int i = 0; i < W; ++i) {
        if (lane(idle, i) != 0 || !is_done(i)) continue;
        results[at[static_cast<std::size_t>(i)]] = one_lane(i);
        take(i);
        if (lane(idle, i) == 0) clear(i), fresh = true;
      }
      if (fresh) point_ = march_point<W>(line_, laws_, m, N);
    }
  }

 private:
  const MarchLine& line_;
  Laws laws_{line_};
  MarchPoint<W> point_{};
  Arrays<W>& a_;
  MarchFigures<V> result_{};
  V passes_{}, damping_{}, last_T_{}, last_rise_{}, rise_{}, pressure_change_{}, ones_ = all<V>(1.0);

  /// The empty screw from which a point begins.
  void clear(int i) {
    a_.clear_lane(i);
    for (V* v : {&passes_, &last_T_, &last_rise_, &rise_, &result_.p_die}) set_lane(*v, i, 0);
  }

  // ---- from the feed: energy, melting, fill ---------------------------------------------------------------

  void downstream(MarchRecord* record) {
    reset_sums();
    const V h = all<V>(line_.feed_h);
    const typename Laws::Place feed = laws_.place(h);
    Stream s{h, line_.all_liquid ? ones_ : laws_.melt_share(feed), laws_.temperature(feed)};
    for (std::size_t i = 0; i < line_.cells.size(); ++i) step(i, s, record);
    const V p = a_.pressure.back();
    // here the pressure may be the die's: the temperature that sets p v is found again, not taken from the last cell
    const V T_first = laws_.temperature(laws_.place(s.h, p, s.T_near)),
            T = laws_.temperature(laws_.place(s.h, p, T_first));
    const auto lost = (result_.runaway < 0.0) & (laws_.place(s.h).beyond > 0.0);
    result_.runaway = lost ? all<V>(static_cast<double>(line_.cells.size() - 1)) : result_.runaway;
    result_.h_end = s.h;
    result_.T_end = T;
    result_.T_max = vmax(result_.T_max, T);
    result_.X_end = s.X;
    result_.V_end = point_.m * laws_.melt_volume(T, p);
    update_coolant();
  }

  void reset_sums() {
    const V p_die = result_.p_die;
    result_ = {};
    result_.p_die = p_die;
    result_.flooded = result_.choked = result_.runaway = all<V>(-1.0);
    result_.choke_ratio = ones_;
    result_.film = point_.film;
  }

  /// The stock on its way: total enthalpy, melt fraction, and about which temperature.
  struct Stream {
    V h, X, T_near;
  };

  void step(std::size_t i, Stream& s, MarchRecord* record) {
    const Cell& cell = line_.cells[i];
    const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
    const double dz = cell.dz;
    const V p = a_.pressure[i], full = a_.full[i];
    const typename Laws::Place at = laws_.place(s.h, p, s.T_near);
    const typename Laws::Reading heat = laws_.read(line_.heat_T, at);
    const V T = heat.value, v = laws_.melt_volume(T, p),
            melted = line_.all_liquid ? ones_ : V(s.X > 1 - 1e-7 ? ones_ : s.X);
    const V fluid = smooth_step(V(melted * (1.0 / 0.3)));
    result_.runaway = (result_.runaway < 0.0) & ((at.beyond > 0.0) | (T > line_.T_most))
                          ? all<V>(static_cast<double>(i))
                          : result_.runaway;

    // melt: throughput, viscosities, power
    const V volume = point_.m * v, drag = part.A1 * point_.swept, relative = volume * point_.per_swept;
    typename Laws::Viscosities eta{ones_, ones_, ones_};  // dry granules: multiplied by nothing
    if (any<W>(fluid > 0.0)) eta = laws_.viscosities(part, point_.log_N, T, p);
    V factor = ones_;
    GranuleFriction<V> granules{V{}, T, V{}};
    V fill_solid = ones_;
    const bool solid = any<W>(melted < 1.0);
    if (solid) {
      const typename Laws::Reading y = laws_.read(line_.heat_Y, at);
      const V yield = y.value * point_.yield_factor, yield_slope = y.slope / heat.slope * point_.yield_factor;
      factor = granule_factor<V>(line_, melted, yield, V(eta.rest * part.k_rest * point_.N));
      eta.pressure *= factor;
      fill_solid = granule_fill(i, part, cell, fluid);
      granules = granule_friction<W>(line_, point_, part, T, yield, yield_slope, fill_solid);
    }
    const V fill_free = part.A1 > 0 ? vmin(V(relative * part.per_A1), 1.0) : ones_;
    const V fill_melt = full + (1.0 - full) * fill_free;
    const V fill = fluid * fill_melt + (1.0 - fluid) * fill_solid;
    const V scale = point_.N * point_.N * (line_.D * line_.D);
    const V couette = scale * factor * (eta.tip * part.c_tip + eta.rest * part.c_rest);
    const V pumping = full * scale * eta.pressure * part.P1_over * (part.A1 - relative);
    const V melt_power = fluid * (fill_melt * couette + pumping);
    const V flow_work = fluid * full * volume * eta.pressure * (drag - volume) * part.per_B_D4;
    const V solid_power = (1.0 - fluid) * granules.power;
    const V power = melt_power + solid_power;

    // wall: implicit in the temperature it changes. A partly filled channel holds a pool against the pushing flight;
    // pools of similar shape wet a width that goes as the square root of their area
    const V wetted = vsqrt(V(fill + 1e-12));
    const bool chilled = line_.chilled[static_cast<std::size_t>(cell.zone)] != 0;
    const V wall = all<V>(line_.zone_T[static_cast<std::size_t>(cell.zone)]) + (chilled ? rise_ : V{});
    const V K = wetted * (fluid * point_.film + (1.0 - fluid) * line_.film_solid) * (part.bore * dz);
    const V dT_dh = laws_.per_enthalpy(heat.slope);
    const V per_capacity = 1.0 / (point_.m + K * dT_dh);  // known before the power is: nothing waits for it
    const V dh = (power * dz + K * (wall - T)) * per_capacity;
    const V from_wall = point_.m * dh - power * dz;

    // melting follows equilibrium at a finite rate; freezing is at once
    const double bulk = part.kneading ? line_.bulk_compacted : line_.bulk_loose;
    const V held = part.free_area * dz * (fluid * fill_melt / v + (1.0 - fluid) * fill_solid * bulk);
    const V tau = held * point_.per_m;
    V X_new = melted;
    if (!line_.all_liquid) {
      const V equilibrium = laws_.melt_share(at);
      X_new = vmin(melted, equilibrium);
      if (solid) {
        const V r =
            tau * melting_rate<W>(line_, point_, part, fill, T, line_.zone_T[static_cast<std::size_t>(cell.zone)]);
        X_new = equilibrium > melted ? V(melted + (equilibrium - melted) * r / (1.0 + r)) : equilibrium;
      }
    }

    a_.eta[i] = eta.pressure, a_.fluid[i] = fluid, a_.flow[i] = volume;
    s = {s.h + dh, X_new, T + dT_dh * dh};
    const Passed passed{X_new, V(power * dz),     V(solid_power * dz), V((melt_power - flow_work) * dz),
                        fill,  V(flow_work * dz), V(full * fluid),     tau,
                        wall,  from_wall,         V(granules.film_T),  T};
    sum(passed, cell, chilled);
    if constexpr (W == 1)
      if (record) keep(*record, i, s, passed);
  }

  /// What the stock went through in one cell; energies in W, over the cell.
  struct Passed {
    V X, energy, friction, dissipation, fill, flow_work, full, tau, wall, from_wall, film_T, T_in;
  };

  /// Fill by granules, and whether the cell can take them.
  V granule_fill(std::size_t i, const Part& part, const Cell& cell, const V& fluid) {
    if (!part.forward) return all<V>(part.kneading ? line_.packing : 1.0);
    const double capacity = line_.bulk_loose * part.free_area * part.advance;  // per turn
    const V load = point_.m_per_turn * (1 / (line_.convey * capacity));
    const V ratio = cell.under_feed ? vmax(load, V(point_.m_per_turn * (1 / (line_.intake * capacity)))) : load;
    const auto over = (ratio > 1.0) & (fluid < 0.5);
    result_.choked =
        over & (result_.choked < 0.0) ? all<V>(static_cast<double>(i)) : result_.choked;  // the first counts
    result_.choke_ratio = over ? vmax(ratio, result_.choke_ratio) : result_.choke_ratio;
    return vmin(load, 1.0);
  }

  void sum(const Passed& c, const Cell& cell, bool chilled) {
    const V zero{};
    const auto is_melt = c.X > melt_above, is_solid = c.X < solid_below;
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

  void keep(MarchRecord& r, std::size_t i, const Stream& s, const Passed& c) const {
    const double p = a_.pressure[i + 1], T = laws_.temperature(laws_.place(s.h, p, s.T_near));
    r.T.push_back(T), r.X.push_back(c.X), r.film_T.push_back(c.X > melt_above ? T : std::max(c.film_T, T));
    r.p_up.push_back(a_.pressure[i]), r.p.push_back(p);
    r.fill.push_back(c.fill), r.full.push_back(c.full), r.tau.push_back(c.tau);
    r.wall_T.push_back(c.wall), r.heat.push_back(c.from_wall);
    r.energy.push_back(c.energy), r.through.push_back(through(i, p));
  }

  /// Throughput of a full cell of melt over what drag and the pressure gradient carry; 1 where it is not full.
  double through(std::size_t i, double p) const {
    if (a_.fluid[i] != 1 || a_.full[i] != 1) return 1;
    const Cell& cell = line_.cells[i];
    const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
    const double drag = part.A1 * point_.N * std::pow(line_.D, 3), G = (p - a_.pressure[i]) / cell.dz;
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

  void upstream() {
    V p = die_pressure(), moved{};
    result_.p_die = p;
    V rise = vmin(vmax(V(p - a_.pressure.back()), -2e8), 2e8);  // over the last pass's pressure at the same place
    a_.pressure.back() = p;
    const double die_away = 1 / (0.5 * line_.D);
    for (std::size_t i = line_.cells.size(); i-- > 0;) {
      const Cell& cell = line_.cells[i];
      const Part& part = line_.parts[static_cast<std::size_t>(cell.part)];
      const V drag = part.A1 * point_.swept;
      // the stored viscosity is that of the last pass's pressure; most of its change with pressure is put right here
      const V eta = line_.thickening > 0 ? V(a_.eta[i] * vexp(V(line_.thickening * rise))) : a_.eta[i];
      const V built = a_.fluid[i] * eta * (drag - a_.flow[i]) * (part.per_B_D4 * cell.dz);
      const V before = p - built;
      const V share = built > 0.0 ? clamp01(V(p / vmax(built, 1e-300))) : V{};
      a_.out[i] = before > 0.0 ? ones_ : share;
      // a bed of granules carries no melt pressure: what is left dies away within half a diameter
      p = vmin(vmax(before, 0.0), 1e12) * (1.0 - (1.0 - a_.fluid[i]) * std::min(1.0, cell.dz * die_away));
      moved = vmax(moved, V(vabs(V(p - a_.pressure[i])) / (p + 1e5)));
      rise = vmin(vmax(V(p - a_.pressure[i]), -2e8), 2e8);
      a_.pressure[i] += damping_ * (p - a_.pressure[i]);
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
      for (int i = 0; i < W; ++i)
        set_lane(p, i, die_flow(*line_.die, lane(point_.m, i), 1, Viscosity{}, 1, 300).pressure);
      return p;
    }
    const V rate = vmax(V(line_.die_rate * result_.V_end), 1e-12);
    const V eta = laws_.viscosity(vlog(rate), result_.T_end, V(0.5 * result_.p_die));
    return vmin(V(line_.die_resistance * eta * result_.V_end), 1e12);
  }

  // ---- the fixed point ------------------------------------------------------------------------------------

  void pass() {
    passes_ += ones_;
    damping_ = damping();
    downstream(nullptr);
    upstream();
    const V change_T = vabs(V(result_.T_end - last_T_)) / result_.T_end, change_rise = vabs(V(rise_ - last_rise_));
    result_.residual = vmax(vmax(largest_step(), pressure_change_), vmax(change_T, V(change_rise / 300.0)));
    result_.iterations = passes_;
    last_T_ = result_.T_end, last_rise_ = rise_;
  }

  V largest_step() const {
    V most{};
    for (std::size_t i = 0; i < a_.full.size(); ++i) most = vmax(most, vabs(V(a_.out[i] - a_.full[i])));
    return most;
  }

  bool is_done(int i) const {
    return lane(result_.residual, i) < line_.tolerance || lane(passes_, i) >= line_.iterations;
  }

  /// Whole steps first; what still swings after thirty passes is damped, more and more.
  V damping() const {
    const V late = passes_ <= 110.0 ? all<V>(0.2) : all<V>(0.07), early = passes_ <= 30.0 ? ones_ : all<V>(0.5);
    return passes_ <= 60.0 ? early : late;
  }

  /// Anderson mixing of depth one on the full share of every cell, lane by lane; later damped.
  void accelerate() {
    V dot{}, norm = all<V>(1e-300);
    for (std::size_t i = 0; i < a_.full.size(); ++i) {
      const V step = damping_ * (a_.out[i] - a_.full[i]), change = step - a_.last_step[i];
      dot += step * change;
      norm += change * change;
    }
    const V theta = passes_ > 1.0 ? vmin(vmax(V(dot / norm), -1.0), 0.9) : V{};
    for (std::size_t i = 0; i < a_.full.size(); ++i) {
      const V step = damping_ * (a_.out[i] - a_.full[i]);
      const V here = a_.full[i] + step, last = a_.last_full[i] + a_.last_step[i];
      const V next = here - theta * (here - last);
      a_.last_full[i] = a_.full[i], a_.last_step[i] = step;
      a_.full[i] = clamp01(next);
    }
  }

  MarchResult one_lane(int i) const {
    constexpr std::size_t figures = sizeof(MarchResult) / sizeof(double);
    const auto from = std::bit_cast<std::array<V, figures>>(result_);
    std::array<double, figures> to{};
    for (std::size_t j = 0; j < figures; ++j) to[j] = lane(from[j], i);
    return std::bit_cast<MarchResult>(to);
  }
};

}  // namespace

MarchResult march(const MarchLine& line, const Point& point, MarchRecord* record) {
  static thread_local Arrays<1> arrays;
  return March<1>(line, arrays).run(point, record);
}

void march_queue(const MarchLine& line, std::span<const Point> points, std::span<MarchResult> results,
                 std::atomic<std::size_t>& next) {
  if (points.empty()) return;
  static thread_local Arrays<8> arrays;
  March<8>(line, arrays).run_queue(points, results, next);
}

}  // namespace quern
