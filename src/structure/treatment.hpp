#pragma once
#include <optional>
#include <span>
#include <vector>
namespace quern {

/// How one figure is spread over the material, by mass.
///
/// Percentiles: parcels in order, each at the middle of its own mass, straight lines between (Hazen's rule when masses
/// are equal). n_eff = (Σm)²/Σm² is the number of equal parcels that would tell as much (Kish 1965, value from memory).
struct Statistics {
  double mean = 0;
  double standard_deviation = 0;  ///< of the material as sampled: √(Σ m (x - mean)²/Σ m)
  double p5 = 0, p50 = 0, p95 = 0;
  /// Of the mean, from the finite number of parcels: standard deviation/√(n_eff - 1). None for a single parcel.
  std::optional<double> standard_error{};
};

/// Parcels of an ensemble. Views only: the arrays must outlive the call.
struct ParcelTotals {
  std::span<const double> time;  ///< in the machine [s], shape (n)
  std::span<const double> energy;  ///< taken up [J/kg], shape (n)
  std::span<const double> mass{};  ///< any unit, shape (n); empty for equal parcels
};

/// Shares of the material in cells even in the logarithm. What has no positive time or energy is in the lowest cell.
struct TreatmentCloud {
  std::vector<double> time_edges{}, energy_edges{};  ///< rising, shape (rows + 1), (columns + 1)
  std::vector<double> share{};  ///< shape (rows, columns) by time and energy, sum 1
};

/// What time and energy the material got, and how evenly.
struct EnsembleTreatment {
  Statistics time{};  ///< [s]
  Statistics energy{};  ///< [J/kg]
  std::optional<double> correlation{};  ///< of both (Pearson); none where one of them is the same for all
  double undertreated = 0;  ///< share by mass with less than half the mean energy [1]
  double undertreated_error = 0;  ///< its standard error, √(p(1 - p)/n_eff)
};

/// Exact where all parcels are alike: the mean is their value, the spread 0.
/// @param mass empty for equal parcels; those of no mass count for nothing
/// @throws InputError  no parcels, shapes differ, a figure not finite or past 1e150, a mass negative, no mass at all
Statistics statistics(std::span<const double> values, std::span<const double> mass = {});

/// @throws InputError  as statistics
EnsembleTreatment ensemble_treatment(const ParcelTotals& parcels);

/// @param cells rows and columns, at least 1
/// @throws InputError  as statistics
TreatmentCloud treatment_cloud(const ParcelTotals& parcels, int cells = 12);

/// Share by mass of values below a limit [1].
/// @throws InputError  as statistics
double share_below(std::span<const double> values, double limit, std::span<const double> mass = {});

}  // namespace quern
