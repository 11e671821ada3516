#pragma once
#include <cstddef>
#include <vector>
namespace quern {

/// Classes of molar mass, equally spaced in its logarithm. The least is one repeat unit: no shorter chain is made.
struct ChainGrid {
  double lowest = 0.04208;  ///< molar mass of the repeat unit [kg/mol]; propylene, C3H6
  double highest = 1e5;     ///< the last class lies at or just above [kg/mol]
  int per_decade = 20;      ///< classes a decade; the error of Mw after breaking falls with its square
};

/// A molar mass distribution: all of a class's mass sits at the class's molar mass.
struct ChainDistribution {
  double lowest = 0.04208;     ///< molar mass of class 0 [kg/mol]
  double ratio = 1.122;        ///< of one class to the one before
  std::vector<double> mass{};  ///< share of the polymer's mass in each class; they add up to 1
};

/// lowest ratioⁱ [kg/mol], shape (classes).
std::vector<double> molar_masses(const ChainDistribution& d);

/// Averages over w, the mass by molar mass M, all in kg/mol:  1/Mn = ∫ w/M,  Mw = ∫ w M,  Mz = ∫ w M² / Mw.
struct ChainAverages {
  double Mn = 0, Mw = 0, Mz = 0;
  double dispersity() const { return Mw / Mn; }
};
ChainAverages averages(const ChainDistribution& d);

/// w(ln M) Gaussian with variance ln D about ln(Mn √D), so that Mw = D Mn and Mz = D² Mn: Wesslau (1956), Lansing &
/// Kraemer (1935), values from memory. The usual choice for polyolefins of multi-site catalysts.
///
/// The law is read off at the classes, which is exact in all averages while it lies inside the grid; for Mn,
/// what is shorter than a repeat unit counted as one. A law narrower than a class is a single molar mass.
/// Above D = 8 the tail leaves the grid: Mw reads low, by 0.3 % at D = 10, Mz by 10 %.
/// @param Mn number average [kg/mol] @param dispersity D = Mw/Mn [1]
/// @throws InputError  Mn not between three repeat units and the highest class, D not between 1 and 50, a bad grid
ChainDistribution log_normal_chains(const ChainGrid& grid, double Mn, double dispersity);

/// w(ln M) ∝ x^(a+1) exp(-a x), x = M/Mn, a = 1/(D - 1): Schulz (1939), Zimm (1948). D = 2 is the most probable
/// distribution, Flory (1936): what random breaking tends to. Accuracy and refusals as above.
ChainDistribution schulz_chains(const ChainGrid& grid, double Mn, double dispersity = 2);

/// Chains of one molar mass M. The grid is shifted by less than half a class, so that one class lies exactly at M.
ChainDistribution equal_chains(const ChainGrid& grid, double M);

/// Exact averages after random breaking, every bond alike, of any distribution:
///
///   1/Mn = 1/Mn0 + c,  Mw = Σ w M g2(c M),  Mw Mz = Σ w M² g3(c M),
///   g2(s) = 2 (e⁻ˢ - 1 + s)/s²,  g3(s) = 6 (s - 2 + (s + 2) e⁻ˢ)/s³
///
/// g2 and g3 are moments of the solution of Ziff & McGrady (1985), J. Phys. A 18, 3027, for chains of one length, value
/// from memory; the problem is linear, so classes add up. Holds while chains are many repeat units long.
/// @param scissions c [mol/kg], at least 0
ChainAverages after_random_scission(const ChainDistribution& d, double scissions);

/// M∞ + (M - M∞) e^(-kE), the usual fit to molar mass against energy or time of milling, for reading published curves.
/// The first slope of Mw for equal chains ties k to a break's energy (docs/theory/chain-scission, calibrating).
/// @param limit M∞ @param k per energy @param energy E
double mass_towards_limit(double M, double limit, double k, double energy);

/// Zero-shear viscosity of one molar mass over that of another, at the same temperature: η0 ∝ Mw below the critical
/// molar mass, ∝ Mw^3.4 above. Berry & Fox (1968), Adv. Polym. Sci. 5, 261, value from memory. For a line model:
/// multiply η0 by it; λ of a superposed law goes with η0.
/// @param critical where entanglement sets in [kg/mol]
double viscosity_factor(double Mw, double Mw_before, double critical);

/// Melt flow rate of one molar mass over that of another: the inverse of viscosity_factor. Approximate, since the
/// test runs at a finite stress, where dispersity counts too.
double flow_rate_factor(double Mw, double Mw_before, double critical);

}  // namespace quern
