#pragma once
#include <array>
#include <optional>
namespace quern {

/// Size classes, finest first. Class i ends at 1 mm · 2^((i - 30)/3): 0.98 µm for the first, which holds all that is
/// finer, and 10.1 mm for the last, which holds all that is coarser. A particle of one class has twice the volume of
/// one of the class below (ratio of sizes 1.26), so that two alike join exactly into the next class.
inline constexpr int size_classes = 41;
/// One number per size class: masses, sizes, rates.
using PerSize = std::array<double, size_classes>;

/// Where class i ends [m]; it begins where the one below ends, class 0 at one ratio below its end.
double upper_size(int i);
double lower_size(int i);
/// Geometric mean of both [m].
double middle_size(int i);

/// What a distribution counts its particles by; the value is r of ISO 9276-2:2014.
enum class Weighting { number = 0, length = 1, area = 2, volume = 3 };

/// Log-normal distribution. Source: ISO 9276-5:2005, closed forms by Hatch & Choate (1929), both values from memory.
struct LogNormal {
  double median = 1e-3;                     ///< x50 of the weighting [m]
  double spread = 0.5;                      ///< σ: standard deviation of ln x, ln of the geometric one [1]
  Weighting weighting = Weighting::volume;  ///< what the median counts by
};
/// The same particles counted otherwise: σ stays, x50 moves to x50 exp((s - r) σ²).
LogNormal counted_by(Weighting weighting, const LogNormal& d);
/// M_{k,r} = ∫ xᵏ q_r dx = x50,rᵏ exp(k² σ²/2) [mᵏ], r the weighting.
double moment(const LogNormal& d, double k, Weighting weighting);

/// Masses by class of a distribution by volume; they sum to 1. What lies beyond the classes counts to the outermost.
/// @param size within the classes or beyond [m], > 0
PerSize single_size(double size);
/// @param d median and spread > 0
PerSize log_normal(const LogNormal& d);
/// Mass coarser than x: exp(-(x/d63)ⁿ). Source: Rosin & Rammler (1933), J. Inst. Fuel 7, 29, value from memory.
/// @param d63 size which 36.8 % of the mass exceeds [m] @param n uniformity [1]; both > 0
PerSize rosin_rammler(double d63, double n);

double total(const PerSize& mass);

/// Share of the mass finer than x [1]: cumulative curve over ln x, cubic and monotone between class ends (Fritsch &
/// Butland 1984). 0 without mass.
double passing(const PerSize& mass, double x);
/// Size which the share p of the mass is finer than [m]; inverse of `passing`. p in [0, 1]; 0 m without mass.
double quantile(const PerSize& mass, double p);

/// M_{k,r} = ∫ xᵏ q_r dx [mᵏ] of masses by class, mass even over ln x in each class. ISO 9276-2:2014. Mass and volume
/// weighting are the same (one density). Number and length weightings lean on the finest classes: what stands in the
/// first one, all of it counted as 0.78 to 0.98 µm, decides. 0 without mass.
double moment(const PerSize& mass, double k, Weighting weighting);
/// x̄_{k,r} = M_{k,r}^(1/k) [m]; k = 0 the geometric mean. x̄_{1,3} = D[4,3], x̄_{1,2} = D[3,2] (Sauter).
double mean_size(const PerSize& mass, double k, Weighting weighting);

/// What a size distribution is reported by; every figure by mass.
struct SizeSummary {
  double d10 = 0, d50 = 0, d90 = 0;  ///< size which 10, 50, 90 % of the mass is finer than [m]
  double span = 0;                   ///< (d90 - d10)/d50 [1]
  double sauter = 0;                 ///< x̄_{1,2}: a sphere of this size has the powder's surface per volume [m]
  double volume_mean = 0;            ///< x̄_{1,3} [m]
};
/// Nothing when there are no particles.
std::optional<SizeSummary> summary(const PerSize& mass);

}  // namespace quern
