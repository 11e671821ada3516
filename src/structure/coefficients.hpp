#pragma once
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/quantity.hpp"
namespace quern {

/// A rate or constant of a structure model. Each can be fixed in a project's [closures], beside those of the line.
struct Coefficient {
  std::string_view name;   ///< the key in [closures], e.g. "breakage_rate"
  Kind kind;
  double value;            ///< default, SI
  double lowest, highest;  ///< accepted range, SI
  std::string_view unit;   ///< for people
  double uncertainty;      ///< relative, one sigma
  std::string_view basis;  ///< source, or "value from memory", or "common practice, no source", or "uncalibrated: ..."
  std::string_view meaning;
  bool calibrated;  ///< false: no published constant; results compare trials, absolute figures are not headlined
};

/// Values in force: an unset coefficient has its default.
class Coefficients {
 public:
  void fix(std::string_view name, double value) { fixed_.insert_or_assign(std::string(name), value); }
  bool is_fixed(std::string_view name) const { return fixed_.contains(name); }
  double operator()(const Coefficient& c) const {
    const auto found = fixed_.find(c.name);
    return found == fixed_.end() ? c.value : found->second;
  }

 private:
  std::map<std::string, double, std::less<>> fixed_{};
};

}  // namespace quern
