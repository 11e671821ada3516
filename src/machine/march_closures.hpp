#pragma once
#include <algorithm>
#include <numbers>

#include "machine/march_laws.hpp"
namespace quern {

/// Of W points side by side, what does not change along the line.
template <int W>
struct MarchPoint {
  using V = Pack<W>;
  V m{}, N{};                ///< [kg/s], [1/s]
  V log_N{}, tip_speed{};
  V yield_factor{};          ///< yield at the tips' rate over that at its reference rate
  V film{};                  ///< barrel coefficient in force [W/(m2 K)]
  V swept{}, per_swept{};    ///< N D³ [m3/s] and its reciprocal
  V per_m{}, m_per_turn{};   ///< 1/m [s/kg], m/N [kg]
  V film_rise{};             ///< 2 U √(film_time/(π k ρ cp N)): rise of the granules' film per stress and engagement
  double conduction = 0;     ///< melting by conduction per drive [1/(s K)]
};

/// Todd's correlation with the viscosity at a reference state: its exponent is 0.05, a decade is 12 %.
template <int W>
Pack<W> todd_film(const MarchLine& line, const MarchLaws<W>& laws, const Pack<W>& N, const Pack<W>& log_N) {
  using V = Pack<W>;
  const auto& nodes = line.heat.nodes;
  const auto node = std::ranges::lower_bound(nodes.begin(), nodes.end() - 1, line.T_ref, {}, &HeatTable::Node::T);
  const double rho = 1 / line.v0, D = line.D, k = line.k_melt, cp = line.heat.step / node->dT;
  const V eta = laws.viscosity(V(log_N + line.parts.front().log_k_rest), all<V>(line.T_ref), V{});
  const V re = D * D * rho * N / eta, pr = cp * eta / k;
  return (k / D) * 0.94 * vexp(V(0.28 * vlog(re) + 0.33 * vlog(pr)));
}

/// @param m [kg/s] @param N [1/s]
template <int W>
MarchPoint<W> march_point(const MarchLine& line, const MarchLaws<W>& laws, const Pack<W>& m, const Pack<W>& N) {
  using V = Pack<W>;
  using std::numbers::pi;
  MarchPoint<W> p;
  p.m = m, p.N = N;
  p.log_N = vlog(N), p.tip_speed = pi * line.D * N;
  p.yield_factor = all<V>(1.0);
  const Solid& s = line.granules;
  for (int i = 0; i < W && !line.all_liquid; ++i) {
    const double rate = lane(p.tip_speed, i) / std::max(line.size, 1e-6);
    set_lane(p.yield_factor, i,
             yield_stress(s, s.yield_T_ref, rate) / yield_stress(s, s.yield_T_ref, s.yield_rate_ref));
  }
  p.swept = N * (line.D * line.D * line.D), p.per_swept = 1.0 / p.swept;
  p.per_m = 1.0 / m, p.m_per_turn = m / N;
  p.film_rise = 2.0 * p.tip_speed * vsqrt(V(line.film_time / (pi * line.k_solid * line.rho_solid * line.cp_solid * N)));
  const double melting_heat =
      line.rho_solid * (line.fusion / line.polymer_share + line.cp_solid * std::max(line.T_melt - line.T_feed, 1.0));
  p.conduction = 4.0 * line.nusselt * line.k_melt / (melting_heat * line.size * line.size);
  p.film = line.film >= 0 ? all<V>(line.film) : todd_film<W>(line, laws, N, p.log_N);
  return p;
}

/// Granules sheared on the tip lands and between the screws, per length of screw.
template <class V>
struct GranuleFriction {
  V power, film_T, stress;
};
template <int W, class V = Pack<W>>
GranuleFriction<V> granule_friction(const MarchLine& line, const MarchPoint<W>& point, const MarchLine::Part& part,
                                    const Pack<W>& T, const Pack<W>& yield, const Pack<W>& yield_slope,
                                    const Pack<W>& load) {
  const double c = part.kneading ? line.engage : line.engage_conveying;
  const V softening = vmax(V(-yield_slope), 0.0);
  // film: mean flux c τ U for film_time/N; the rise lowers the stress that makes it, so τ = τy(T)/(1 + rise · slope)
  const V rise = c * point.film_rise;
  const V stress = vmin(V(yield / (1.0 + rise * softening)), line.friction * line.normal_stress);
  const V speed_land = point.tip_speed * part.land + 2.0 * std::numbers::pi * point.N * line.centre * part.nip_land;
  return {V(c * stress * speed_land * load), V(T + rise * stress), stress};
}

/// Share of unmelted granules taken into the melt per second: tip passages, more of it where the stock is more than
/// 20 K over the melting point, and conduction to a sphere.
template <int W, class V = Pack<W>>
V melting_rate(const MarchLine& line, const MarchPoint<W>& point, const MarchLine::Part& part, const Pack<W>& fill,
               const Pack<W>& T, double wall) {
  const double action = part.kneading ? line.action : line.action_conveying;
  const V drive = vmax(V(vmax(T, wall) - line.T_melt), 5.0);
  return 2.0 * line.tip_starts * point.N * action * fill * vmax(V(drive * (1.0 / 20.0)), 1.0) +
         point.conduction * drive;
}

/// Krieger & Dougherty for the unmelted granules, at most what their yield allows.
template <class V>
V granule_factor(const MarchLine& line, const V& X, const V& yield, const V& melt_stress) {
  const V phi = vmin(V((1.0 - X) * (line.solid_volume_share / line.phi_max)), 0.95);
  const V kd = vexp(V(-2.5 * line.phi_max * vlog(V(1.0 - phi))));
  return vmin(kd, vmax(V(yield / melt_stress), 1.0));
}

}  // namespace quern
