#pragma once
#include <array>
#include <vector>

#include "structure/size_distribution.hpp"
namespace quern {

/// How readily a particle of size x breaks per energy it takes up:
///
///   S(x) = S_ref (x/x_ref)^α / (1 + (x/μ)^Λ)
///
/// Source: Austin, Klimpel & Luckie (1984), Process Engineering of Size Reduction: Ball Milling, value from memory; per
/// energy in place of time after Herbst & Fuerstenau (1973), Trans. SME 254, 343, value from memory.
/// x_ref is 1 mm. The denominator is for particles too large to be nipped; μ far above every particle: no such limit.
struct Selection {
  double per_energy = 5e-6;  ///< S_ref [kg/J]
  double exponent = 1;  ///< α [1]
  double too_large = 1e3;  ///< μ [m]
  double cut = 3;  ///< Λ [1]
};
double selection(const Selection& s, double x);

/// Share of a broken particle's mass that is finer than x, parent of size y:
///
///   B(x, y) = φ (x/y)^γ + (1 - φ) (x/y)^β,   1 for x ≥ y
///
/// Source: Austin, Klimpel & Luckie (1984), value from memory.
struct Fragments {
  double fines_share = 0.6;  ///< φ [1]
  double fines_slope = 0.7;  ///< γ [1]
  double coarse_slope = 3.5;  ///< β [1]
};
double finer_than(const Fragments& f, double x_over_y);

/// By parent class j (first index) and class of the fragment i.
using SizeTable = std::array<PerSize, size_classes>;

/// Rates and fragments by class: dmᵢ/dE = -Sᵢ mᵢ + Σ_{j>i} b_{ji} Sⱼ mⱼ, classes finest first.
struct BreakageRates {
  PerSize selection{};  ///< Sⱼ ≥ 0 [kg/J]
  SizeTable fragments{};  ///< b_{ji} ≥ 0, only i < j; each parent's sum to 1 where Sⱼ > 0 [1]
};
/// A class breaks as a particle of its lower end does, and all fragments leave it: with B = (x/y)^α and S ~ x^α the
/// classes then follow the continuous solution R(x, E) = R(x, 0) exp(-S(x) E) without error. Class 0 does not break.
BreakageRates breakage_rates(const Selection& selection, const Fragments& fragments);

/// The exact solution of `BreakageRates` for any energy, prepared once.
///
/// exp(A E) of doses q E = 2^-8, 2^-7 .. 2^40 (q the largest Sⱼ) by squaring; a dose is the product of the binary
/// digits it is made of, and of a Taylor series for what is left. Every term is positive, so nothing cancels; equal
/// rates need no care, unlike Reid's form (1965), Chem. Eng. Sci. 20, 953, value from memory, which it equals.
/// Diagonals are exact exponentials, and what leaves a class arrives elsewhere, to round-off. A dose above 2^40
/// counts as that.
class Breakage {
 public:
  explicit Breakage(const BreakageRates& rates);
  /// Masses after each kg of particles has taken up the energy [J/kg] ≥ 0; unchanged at 0.
  PerSize after(const PerSize& mass, double energy) const;

 private:
  double fastest_ = 0;  ///< q [kg/J]
  SizeTable event_{};  ///< a dose of exactly one event: I + A/q
  std::vector<SizeTable> of_dose_{};  ///< for each power of two; empty when nothing breaks
};

}  // namespace quern
