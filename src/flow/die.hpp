#pragma once
#include <utility>
#include <vector>

#include "materials/viscosity.hpp"
namespace quern {

/// What closes the barrel. Without one the end is open.
struct Die {
  enum class Kind { strand, slit, annulus, curve };
  Kind kind = Kind::strand;
  int count = 1;          ///< equal openings
  double diameter = 0;    ///< strand: hole; annulus: outer [m]
  double land = 0;        ///< [m]
  double width = 0;       ///< slit [m]
  double height = 0;      ///< slit [m]
  double core = 0;        ///< annulus: inner diameter [m]
  double temperature = 0; ///< set point [K]
  std::vector<std::pair<double, double>> curve{};  ///< rising mass flow [kg/s], pressure [Pa]; straight lines between
};

/// Pressure drop and wall shear of one opening for a Newtonian or shear-thinning melt.
///
/// Strand: Rabinowitsch integral inverted for the wall stress; slit: the same between plates; annulus: the
/// parallel-plate form on the mean circumference with the Newtonian curvature factor, within 1 % of the exact power law
/// (Fredrickson & Bird 1958) for a core of a third of the diameter or more.
/// Closed forms: Hagen-Poiseuille, plates, power law (docs/theory/dies). Entry losses are left out: on lands shorter
/// than some ten diameters the pressure reads low.
/// A curve is looked up on mass flow: from nothing at no flow, beyond its last point its last straight line goes on.
struct DieFlow {
  double pressure = 0;  ///< drop over the land [Pa]
  double shear_rate = 0;  ///< at the wall [1/s]; 0 for a curve
};
/// @param factor viscosity multiplier of fillers [1] @param T [K]
DieFlow die_flow(const Die& die, double mass_flow, double density, const Viscosity& eta, double factor, double T);

/// Power law in closed form, for tests and hand checks: τ = K γ̇ⁿ.
double strand_pressure(double K, double n, double radius, double land, double flow);
double slit_pressure(double K, double n, double width, double height, double land, double flow);
/// Hanks & Larsen (1979), Ind. Eng. Chem. Fundam. 18, 33: flow through an annulus, power law.
double annulus_flow(double K, double n, double outer_radius, double core_ratio, double land, double pressure);
/// Linear taper from D1 to D2 over L, power law, lubrication.
double taper_pressure(double K, double n, double D1, double D2, double L, double flow);

}  // namespace quern
