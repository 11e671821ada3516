#pragma once
#include <optional>
namespace quern {

// Drops and threads of one melt in another. λ = ηd/ηc, viscosity of the drops over that of the matrix around them;
// Ca = ηc γ̇ R/Γ, viscous stress over the pressure that interfacial tension Γ holds a drop of radius R together with;
// Ca* = Ca/Ca_c. Fits hold for Newtonian melts; elasticity and surfactants shift them (docs/theory/blend-morphology).

/// Ca above which a drop breaks in steady simple shear, or nothing where none breaks.
///
///   log10 Ca_c = -0.506 - 0.0994 L + 0.124 L² - 0.115/(L - log10 4.08),   L = log10 λ
/// Above λ = 3.8, short of the fit's pole, drops turn over instead of breaking: Grace (1982), Chem. Eng. Commun. 14, 225.
/// Below λ = 1e-4 the value there. Source: de Bruijn (1989), thesis, Eindhoven; value from memory.
std::optional<double> critical_capillary_shear(double lambda);

/// The same in steady plane elongation, by the rate of elongation; every λ breaks.
///
///   log10 Ca_c = -0.6485 - 0.02442 L + 0.02221 L² - 0.00056/(L - 0.00645)
/// The pole at λ = 1.015 is the fit's own: from 0.8 to 1.3 a straight line over L. λ is held within 1e-4 to 1e4.
/// Source: Utracki & Shi (1992), Polym. Eng. Sci. 32, 1824; constants from memory.
double critical_capillary_elongation(double lambda);

/// Reduced time t* = γ̇ t/Ca* in which a drop splits in two in shear [1]: t* = 84 λ^0.345 Ca*^-0.559, for Ca* > 1.
/// So the strain it takes, t* Ca*, rises with Ca*^0.441.
/// Source: Huneault, Shi & Utracki (1995), Polym. Eng. Sci. 35, 115; value from memory. Doubtful: an exponent of 0.355
/// is remembered too, and whether t* is strain over Ca* or over Ca, a factor of two at λ = 1.
double split_time(double lambda, double capillary_ratio);

/// Drop diameter in a co-rotating twin-screw extruder d = 4 Γ λ^±0.84/(γ̇ ηc) [m]; + for λ > 1.
/// Measured on melts with 15 % of elastic drops. Source: Wu (1987), Polym. Eng. Sci. 27, 335; value from memory.
double wu_diameter(double lambda, double matrix_viscosity, double shear_rate, double tension);

/// (L - B)/(L + B) of a drop that is slightly deformed, Ca (19λ + 16)/(16λ + 16) [1], for Ca well below Ca_c.
/// Source: Taylor (1934), Proc. R. Soc. A 146, 501.
double taylor_deformation(double lambda, double capillary);

/// Speed with which a ripple of wave number X = 2πR/wavelength grows on a thread of radius R at rest: Ω of
/// s = Γ Ω/(2 ηc R), solved from Stokes' equations inside and outside (docs/theory/blend-morphology).
/// Negative for X > 1. Source: Tomotika (1935), Proc. R. Soc. A 150, 322. X and λ positive.
double ripple_growth(double lambda, double wave_number);

/// The ripple that grows fastest.
struct ThreadBreakup {
  double wave_number;  ///< X_m = 2πR/wavelength [1]
  double growth;  ///< Ω_m [1]
  double drop_ratio() const;  ///< diameter of the drops over the thread's, (3π/2X_m)^(1/3): one drop a wavelength
};
/// By search over ripple_growth: some 20 µs.
ThreadBreakup fastest_ripple(double lambda);
/// From a table of the above over λ = 1e-6 to 1e6 (held outside), within 1e-4 of it: some 20 ns.
ThreadBreakup thread_breakup(double lambda);

/// Amplitude of the ripples that heat raises on a thread, (21 kT/(8 π^1.5 Γ))^½ [m]: where break-up begins.
/// Source: Kuhn (1953), Kolloid-Z. 132, 84; value from memory.
double thermal_ripple(double T, double tension);

/// Share of the collisions of equal drops of radius R after which they merge [1]: the film between them must drain to
/// its critical thickness while the flow still presses them together.
///
///   P = exp[-(√3/4) (R/h) λ Ca^1.5], faces partly mobile
/// Source: Elmendorp & van der Vegt (1986), Polym. Eng. Sci. 26, 1332, as used since; value from memory.
double merging_probability(double lambda, double capillary, double radius_over_film);

}  // namespace quern
