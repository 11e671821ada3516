#pragma once
#include <vector>

#include "base/pack.hpp"
#include "machine/march_line.hpp"
namespace quern {

/// Whether any lane of a comparison holds.
template <int W>
inline bool any(const Bits<W>& mask) {
  if constexpr (W == 1) return mask != 0;
  else {
    std::int64_t bits = 0;
    for (int i = 0; i < W; ++i) bits |= mask[i];
    return bits != 0;
  }
}

template <class I>
inline std::int64_t lane_of(const I& v, int i) {
  if constexpr (sizeof(I) == sizeof(std::int64_t)) return v;
  else return v[i];
}

/// The stock's property laws as a march reads them, W points side by side (docs/theory/line: stock, total enthalpy).
/// A view: the line must outlive it.
template <int W>
class MarchLaws {
 public:
  using V = Pack<W>;
  explicit MarchLaws(const MarchLine& line) : line_(line) {}

  /// η(γ̇, T, p) of the melt with fillers; the form of materials/viscosity.hpp, log-additive over polymers.
  V viscosity(const V& log_rate, const V& T, const V& p) const {
    V eta{};
    for (const auto& polymer : line_.polymers) mix(polymer, sheared(polymer, log_shift(polymer, T, p), log_rate), eta);
    return mixed(eta);
  }

  /// The same at the three rates of an element. What temperature and pressure do is found once. A single point has
  /// the three side by side, as a pack has its points.
  struct Viscosities {
    V rest, tip, pressure;
  };
  Viscosities viscosities(const MarchLine::Part& part, const V& log_N, const V& T, const V& p) const {
    if constexpr (W == 1) {
      const Pack<4> log_rate =
          log_N + Pack<4>{part.log_k_rest, part.log_k_tip, part.log_k_pressure, part.log_k_pressure};
      Pack<4> eta{};
      for (const auto& polymer : line_.polymers)
        mix(polymer, sheared(polymer, all<Pack<4>>(log_shift(polymer, T, p)), log_rate), eta);
      eta = mixed(eta);
      return {eta[0], eta[1], eta[2]};
    } else {
      Viscosities eta{};
      for (const auto& polymer : line_.polymers) {
        const V log_a = log_shift(polymer, T, p);
        mix(polymer, sheared(polymer, log_a, V(log_N + part.log_k_rest)), eta.rest);
        mix(polymer, sheared(polymer, log_a, V(log_N + part.log_k_tip)), eta.tip);
        mix(polymer, sheared(polymer, log_a, V(log_N + part.log_k_pressure)), eta.pressure);
      }
      return {mixed(eta.rest), mixed(eta.tip), mixed(eta.pressure)};
    }
  }

  V melt_volume(const V& T, const V& p) const {
    return line_.v0 + line_.v_slope * (T - line_.T_ref) - line_.compress * p;
  }

  /// Where an enthalpy lies in the heat table: which interval, how far into it; 1 where it lies outside.
  struct Place {
    Bits<W> interval;
    V f, beyond;
  };
  Place place(const V& h) const {
    const double n = static_cast<double>(line_.heat_T.size());
    const V u = (h - line_.heat.h0) * per_step_;
    const Whole<V> k = whole(vmin(vmax(u, 0.0), n - 1e-6));  // NaN lands at 0
    return {k.index, u > 0.0 ? V(vmin(V(u - k.value), 1.0)) : V{}, (u > 0.0) & (u < n) ? V{} : all<V>(1.0)};
  }

  /// A quantity of the heat table at a place, and its slope: that of the nodes, straight between them.
  struct Reading {
    V value, slope;
  };
  Reading read(const std::vector<MarchLine::Cubic>& table, const Place& at) const {
    V c0{}, c1{}, c2{}, c3{};
    for (int i = 0; i < W; ++i) {
      const MarchLine::Cubic& c = table[static_cast<std::size_t>(lane_of(at.interval, i))];
      set_lane(c0, i, c[0]), set_lane(c1, i, c[1]), set_lane(c2, i, c[2]), set_lane(c3, i, c[3]);
    }
    const V f = at.f;
    return {c0 + f * (c1 + f * (c2 + f * c3)), c1 + f * (2.0 * c2 + 3.0 * c3)};
  }

  /// The place of a total enthalpy h under a pressure: what flow work p v takes is not heat.
  /// @param T_near some 0.1 K about the temperature sought are enough: v changes by 1e-3 per kelvin at most
  Place place(const V& h, const V& p, const V& T_near) const {
    return any<W>(p > 0.0) ? place(V(h - p * melt_volume(T_near, p))) : place(h);
  }
  V temperature(const Place& at) const { return read(line_.heat_T, at).value; }
  /// A slope of the heat table, per step, as one per enthalpy.
  V per_enthalpy(const V& slope) const { return slope * per_step_; }
  V melt_share(const Place& at) const { return read(line_.heat_X, at).value; }

 private:
  const MarchLine& line_;
  double per_step_ = 1 / line_.heat.step;  ///< of the heat table [kg/J]

  static V log_shift(const MarchLine::Polymer& polymer, const V& T0, const V& p) {
    const Viscosity& v = polymer.eta;
    const V T = vmax(V(T0 - v.D3 * p), v.T_floor);
    return v.k0 + v.k1 / (T - v.T_vogel) + v.k2 * T + v.beta * p;
  }

  template <class U>
  static U sheared(const MarchLine::Polymer& polymer, const U& log_a, const U& log_rate) {
    const Viscosity& v = polymer.eta;
    if (polymer.constant) return v.eta_inf + (v.eta0 - v.eta_inf) * vexp(log_a);
    const U u = v.yasuda * (polymer.log_lambda + (v.superposition ? log_a : U{}) + log_rate);
    const U bracket = v.plateau ? softplus(u) : u;
    return v.eta_inf + (v.eta0 - v.eta_inf) * vexp(U(log_a + polymer.slope * bracket));
  }

  /// One polymer's part in the melt's viscosity; of several, logarithms add up.
  template <class U>
  void mix(const MarchLine::Polymer& polymer, const U& eta, U& sum) const {
    sum = line_.polymers.size() == 1 ? eta : U(sum + polymer.share * vlog(eta));
  }
  template <class U>
  U mixed(const U& sum) const {
    return line_.filler_factor * (line_.polymers.size() == 1 ? sum : vexp(sum));
  }
};

}  // namespace quern
