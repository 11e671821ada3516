#include "structure/chain_scission.hpp"

#include <algorithm>
#include <cmath>

namespace quern {
namespace {

constexpr double reference_mass = 100, reference_T = 296.15, gas = 8.31446261815324;  // kg/mol, K, J/(mol K)

enum { e_solid, limit_solid, activation_solid, e_melt, stress_melt, break_width };
constexpr Coefficient list[] = {
    {"scission_energy_solid", Kind::specific_energy, 3e7, 1e4, 1e12, "kJ/kg", 1.0,
     "uncalibrated: chosen so that milling breaks less than a tenth of what the melt with peroxide does, Diop & "
     "Torkelson (2013), Polymer 54, 4143 (abstract)",
     "mechanical energy that breaks a chain of 100 kg/mol above the limit once, in granules at 23 degC", false},
    {"scission_limit_solid", Kind::ratio, 3, 0, 1000, "1", 0.7,
     "uncalibrated: a few entanglements, value from memory; that there is a limit: Peterson, Ko, Hwang & Choi (2020), "
     "Macromolecules 53, doi 10.1021/acs.macromol.0c01510 (abstract)",
     "molar mass below which milling breaks no chain, over the critical one of the polymer", false},
    {"scission_activation_solid", Kind::molar_energy, 2e3, 0, 5e4, "kJ/mol", 1.0,
     "uncalibrated: sign from cryogenic milling of poly(methyl methacrylate), which degrades much less than ambient "
     "(abstract)",
     "how breaking per energy in granules rises with temperature", false},
    {"scission_energy_melt", Kind::specific_energy, 2e7, 1e4, 1e12, "kJ/kg", 1.0,
     "uncalibrated: with it hotter melt breaks more in all, as Altepeter et al. (2023), Polymers 15, 2181 (abstract) "
     "report",
     "mechanical energy that breaks a chain of 100 kg/mol above the limit once, in the melt", false},
    {"scission_stress_melt", Kind::pressure, 1e6, 1e3, 1e9, "kPa", 1.0,
     "uncalibrated: 0.1 MPa for chains of 1000 kg/mol, value from memory",
     "shear stress in the melt above which chains of 100 kg/mol break; longer ones in inverse proportion", false},
    {"scission_width", Kind::ratio, 0.15, 0.02, 5, "1", 0.5,
     "uncalibrated: Gaussian about the middle as in Glynn, van der Hoff & Reilly (1972), its width from memory",
     "standard deviation of the break about the middle of the chain, over its length; 5 is anywhere", false},
};

double solid_mobility(double T, double activation) { return std::exp(-activation / gas * (1 / T - 1 / reference_T)); }

/// Work by volume, kept finite whatever the factors.
double work(double stress, double rate, double time) {
  constexpr double most = 1e90;
  return std::clamp(stress, 0.0, most) * std::clamp(rate, 0.0, most) * std::clamp(time, 0.0, most);
}

/// Share of the melt's work that is done under tips.
double tip_share(const Exposure& e) {
  const double under_tips = std::clamp(e.tip_passes * e.tip_time, 0.0, std::max(e.time, 0.0));
  const double tips = work(e.tip_stress(), e.tip_rate, under_tips);
  return tips > 0 ? tips / (tips + work(e.stress(), e.shear_rate, e.time - under_tips)) : 0;
}

Scission in_melt(double energy, double stress, const ScissionConstants& c) {
  if (!(stress > 0)) return {};
  return {energy / (c.melt_energy * reference_mass), reference_mass * c.melt_stress / stress, c.width};
}

template <class State, class Break>
State advanced(State state, const Exposure& e, const ScissionConstants& c, Break break_chains) {
  const double gone = state.peroxide * decayed(c.peroxide, e.temperature, e.time);
  const std::array<Scission, 4> ways = scission_ways(e, gone, c);
  state.chains = break_chains(std::move(state.chains), ways);
  state.peroxide -= gone;
  return state;
}

template <class State>
std::vector<State> along(const State& inlet, const History& history, const ScissionConstants& c) {
  std::vector<State> after;
  after.reserve(history.size());
  for (const Exposure& e : history) after.push_back(advance(after.empty() ? inlet : after.back(), e, c));
  return after;
}

}  // namespace

std::span<const Coefficient> chain_scission_coefficients() { return list; }

ScissionConstants scission_constants(const Coefficients& fixed, const Chains& chains) {
  ScissionConstants c;
  c.chains = chains;
  c.solid_energy = fixed(list[e_solid]);
  c.solid_limit = fixed(list[limit_solid]);
  c.solid_activation = fixed(list[activation_solid]);
  c.melt_energy = fixed(list[e_melt]);
  c.melt_stress = fixed(list[stress_melt]);
  c.width = fixed(list[break_width]);
  c.heat = heat_scission(fixed);
  c.peroxide = peroxide(fixed);
  return c;
}

std::array<Scission, 4> scission_ways(const Exposure& e, double peroxide_decayed, const ScissionConstants& c) {
  const double molten = std::clamp(e.melt_fraction, 0.0, 1.0), energy = std::max(e.energy, 0.0);
  const double tips = tip_share(e);
  const Scission solid{
      energy * (1 - molten) * solid_mobility(e.temperature, c.solid_activation) / (c.solid_energy * reference_mass),
      c.solid_limit * c.chains.critical, c.width};
  const double heat = molten * scission_rate(c.heat, e.temperature) * std::max(e.time, 0.0);
  return {solid, in_melt(energy * molten * (1 - tips), e.stress(), c),
          in_melt(energy * molten * tips, e.tip_stress(), c),
          Scission{heat + scissions(c.peroxide, peroxide_decayed), 0, std::nullopt}};
}

ChainState advance(ChainState state, const Exposure& e, const ScissionConstants& c) {
  return advanced(std::move(state), e, c,
                  [](ChainDistribution d, const auto& ways) { return broken(std::move(d), ways); });
}

ChainAverageState advance(ChainAverageState state, const Exposure& e, const ScissionConstants& c) {
  return advanced(state, e, c,
                  [&](const ChainAverages& m, const auto& ways) { return broken(m, ways, c.chains.repeat); });
}

std::vector<ChainState> advance(const ChainState& inlet, const History& history, const ScissionConstants& c) {
  return along(inlet, history, c);
}

std::vector<ChainAverageState> advance(const ChainAverageState& inlet, const History& history,
                                       const ScissionConstants& c) {
  return along(inlet, history, c);
}

}  // namespace quern
