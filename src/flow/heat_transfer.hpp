#pragma once
namespace quern {

/// Barrel-side film coefficient of a melt in a twin screw [W/(m2 K)]:
///   h = (k/D) 0.94 (D² N ρ/μ)^0.28 (cp μ/k)^0.33, viscosity ratio taken as 1.
/// Source: Todd (1988), SPE ANTEC 34, 54 (value from memory).
double melt_film_coefficient(double D, double speed, double density, double viscosity, double heat_capacity,
                             double conductivity);

/// Rise of a surface under constant flux, semi-infinite solid [K]: 2 q √(t/(π k ρ cp)).
/// Source: Carslaw & Jaeger (1959), 2.9.
double surface_rise(double flux, double time, double conductivity, double density, double heat_capacity);

/// Ethylene glycol and water. Tables at mass fractions 0.3, 0.4, 0.5 from -10 or -20 to 30 degC by Melinder (2010), and
/// water; straight lines between in both, for the viscosity in its logarithm. Between 0 and 0.3 trust it less (a few per
/// cent, viscosity some 10 %); outside the temperatures the end lines go on, down to freezing and up to 40 degC.
struct Coolant {
  double density = 0;  ///< [kg/m3]
  double heat_capacity = 0;  ///< [J/(kg K)]
  double conductivity = 0;  ///< [W/(m K)]
  double viscosity = 0;  ///< [Pa s]
};
/// @param glycol mass fraction, 0 to 0.5 @param T [K]
/// @throws InputError  outside the table, or frozen ("30 % glycol at -20 degC is frozen: it freezes at -14.6 degC")
Coolant glycol_water(double glycol, double T);
/// [K] @param glycol 0 to 0.5
double freezing_point(double glycol);

/// Mean and core temperature of a strand after a time in water: infinite cylinder, convective surface, with the
/// heat of crystallisation counted as extra heat capacity. Series of Bessel functions, Incropera & DeWitt (2007),
/// Fundamentals of Heat and Mass Transfer, ch. 5; in the first moments (Fourier number below 5e-4) a flat surface.
struct StrandCooling {
  double core = 0, mean = 0, surface = 0;  ///< [K]
};
StrandCooling cool_strand(double diameter, double time, double film, double conductivity, double density,
                          double heat_capacity, double T_start, double T_water);

}  // namespace quern
