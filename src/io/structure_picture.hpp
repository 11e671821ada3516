#pragma once
#include <string>

#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// A track for every model on the axis of `line_picture`: its figures of the mean parcel, and at the end a bar from P5 to
/// P95 of all parcels with a tick at P50. Sizes and contents have a logarithmic scale. Empty without models.
std::string structure_tracks(const Trial& trial, const Structure& structure);

/// Time against energy of the parcels, both logarithmic: cells the darker the more stock is in them, the mean as a dot,
/// P5, P50 and P95 of each as lines.
std::string treatment_chart(const Structure& structure);

}  // namespace quern
