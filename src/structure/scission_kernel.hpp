#pragma once
#include <optional>
#include <span>

#include "structure/chain_distribution.hpp"
namespace quern {

/// One way in which chains break: a chain of molar mass M breaks  dose (M - limit)  times, never when shorter than the
/// limit. Ovenall, Hastings & Allen (1958), J. Polym. Sci. 33, 207, value from memory: no bond nearer to an end than
/// limit/2 breaks, which makes the number of breakable bonds go with M - limit.
struct Scission {
  double dose = 0;   ///< [mol/kg]; 0 or less breaks nothing. Without a limit: scissions per mass
  double limit = 0;  ///< limiting molar mass [kg/mol]
  /// Standard deviation of the break point about the middle of the chain, over the chain's length: Gaussian, cut off at
  /// the ends that do not break. None: anywhere. Glynn, van der Hoff & Reilly (1972), value from memory.
  std::optional<double> width{};
};

/// A distribution after breaking in several ways at once, their rates constant beside each other.
///
///   dm_i = Σ_j a_ij m_j - (Σ_i a_ij) m_i,  j > i: fragments between two classes are shared out among both so that
///   mass and number are right (Kumar & Ramkrishna 1996, Chem. Eng. Sci. 51, 1311: fixed pivot)
///
/// Solved exactly in the doses by a Poisson series (Jensen 1953), all terms positive: mass is kept to round-off, each
/// break makes one chain, doses of any size are stable. What is left: sharing out widens fragments, so Mw reads high,
/// by 0.1 % at 20 classes a decade after a scission a chain, falling with the square of the class width.
/// A zero dose returns the same numbers. Fragments are at least one repeat unit, the grid's first class.
/// Some hundred microseconds, most of it for filling a_ij.
ChainDistribution broken(ChainDistribution d, std::span<const Scission> ways);

/// The same breaking seen by Mn, Mw and Mz alone, for ensembles: some hundred nanoseconds.
///
///   dMn⁻¹ = Σ w b,  dMw = -Σ 2 (1/4 - v) w b M²,  d(Mw Mz) = -Σ 3 (1/4 - v) w b M³,  b = dose (1 - limit/M)
///
/// w is the share of mass at M, v the variance of the break point, 1/(1/width² + 12/(1 - limit/M)²): right for narrow
/// and for wide. The sums need two molar masses that stand for the distribution: the Gauss points of its averages with
/// Mz+1 = Mz + (Mz - Mw)²/(Mw - Mn), which holds for log-normal and for Schulz distributions alike. Without a limit the
/// number of chains is right; random breaking leaves the most probable distribution (D = 2) as it is. Against the
/// classes above Mw comes within 5 % up to D = 4 and 10 % up to D = 6; the change of Mw may be twice too large where a
/// limit lies far above Mz (docs/theory/chain-scission). A dose is cut into steps that change no average by more than a
/// third.
/// @param c Mn ≤ Mw ≤ Mz, as `averages` gives them
/// @param repeat molar mass of the repeat unit [kg/mol]: chains of less than two do not break
ChainAverages broken(ChainAverages c, std::span<const Scission> ways, double repeat);

}  // namespace quern
