#pragma once
namespace quern {

/// Shear viscosity of a melt, every common model in one form so that one vector kernel evaluates all:
///
///   η = η∞ + (η0 - η∞) a [c + (λ aˢ γ̇)ᵃʸ]^((n-1)/ay)
///   ln a = k0 + k1/(T' - Tv) + k2 T' + β p,   T' = max(T - D3 p, T_floor)
///
/// with c = 1 (Newtonian, Cross, Carreau-Yasuda) or 0 (power law) and s = 1 when rate and stress shift
/// together (time-temperature superposition) or 0 for a vertical shift. η∞ is not shifted. n = 1 or λ = 0
/// is a Newtonian liquid. Build one with the functions below; a bare Viscosity is a Newtonian liquid of 1 Pa s.
///
/// Guards, out of reach of any melt: |ln a| ≤ 600, and a power law is finite at rest. T_floor lies at least
/// 5 K above the pole Tv of a WLF shift; whoever knows where the material solidifies raises it to there.
/// Derivations and ranges: docs/theory/materials.md.
struct Viscosity {
  double eta_inf = 0;         ///< viscosity at infinite rate [Pa s]
  double eta0 = 1;            ///< zero-shear viscosity at the reference state; K/λ^(n-1) of a power law [Pa s]
  double lambda = 0;          ///< time constant [s]
  double yasuda = 2;          ///< width of the transition, a [1]
  double n = 1;               ///< power-law index [1]
  bool plateau = true;        ///< c: has a zero-shear plateau
  bool superposition = true;  ///< s: temperature shifts the rate too
  double k0 = 0, k1 = 0, k2 = 0, T_vogel = 0;  ///< the shift ln a: [1], [K], [1/K], [K]
  double beta = 0;            ///< pressure coefficient [1/Pa]
  double D3 = 0;              ///< shift of the reference temperature with pressure [K/Pa]
  double T_floor = 1;         ///< below this the law is not extrapolated [K]
};

/// η = η0.
Viscosity newtonian(double eta0);
/// η = η_ref (γ̇/γ̇_ref)^(n-1): Ostwald (1925), de Waele (1923). Temperature shifts the level alone.
Viscosity power_law(double eta_ref, double rate_ref, double n);
/// η = η0 / (1 + (η0 γ̇/τ*)^(1-n)): Cross (1965). The shift moves rate and level together, so τ* is constant.
Viscosity cross(double eta0, double tau_star, double n);
/// η = η∞ + (η0-η∞)[1 + (λγ̇)^a]^((n-1)/a): Carreau (1972), Yasuda (1979).
Viscosity carreau_yasuda(double eta0, double eta_inf, double lambda, double a, double n);
/// Cross with η0 = D1 exp[-A1 (T-T*)/(A2 + T-T*)], T* = D2 + D3 p; A2 here is that of zero pressure.
Viscosity cross_wlf(double tau_star, double n, double D1, double D2, double D3, double A1, double A2);

/// ln a = (E/R)(1/T - 1/T_ref). @param E [J/mol]
Viscosity with_arrhenius(Viscosity v, double E, double T_ref);
/// log10 a = -C1 (T - T_ref)/(C2 + T - T_ref): Williams, Landel, Ferry (1955).
Viscosity with_wlf(Viscosity v, double C1, double C2, double T_ref);
/// ln a = -b (T - T_ref). @param b [1/K]
Viscosity with_exponential(Viscosity v, double b, double T_ref);

/// η(γ̇, T, p) [Pa s]. @param rate [1/s] @param T [K] @param p [Pa]
double viscosity(const Viscosity& v, double rate, double T, double p = 0);

/// η_r = (1 - φ/φm)^(-2.5 φm), φ capped at 0.95 φm: Krieger & Dougherty (1959), Trans. Soc. Rheol. 3, 137.
/// @param phi volume fraction of solids [1] @param phi_max largest packing [1]
double suspension_factor(double phi, double phi_max);

}  // namespace quern
