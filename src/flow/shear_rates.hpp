#pragma once
#include "flow/strip_flow.hpp"
namespace quern {

/// Shear rates of a filled element by volume, per turn; stresses of a Newtonian liquid are η times these.
struct ShearRates {
  double mean = 0, p10 = 0, median = 0, p90 = 0, p99 = 0;
  friend bool operator==(const ShearRates&, const ShearRates&) = default;
};

/// The columns of cells of one or more snapshots, each at eight depths.
class RateSample {
 public:
  /// @param gradient mean pressure gradient, dp/dz D/(η N)
  void add(const StripField& field, const StripFlow& flow, double gradient);
  ShearRates rates() const;

 private:
  struct Item {
    double rate, volume;
  };
  std::vector<Item> items_{};
};

}  // namespace quern
