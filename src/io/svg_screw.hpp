#pragma once
#include <optional>

#include "io/svg.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
namespace quern {

/// Where along the page a stretch of the machine is drawn, and how large.
struct ScrewFrame {
  double from = 0, to = 0;  ///< stretch of the shaft [m]
  double left = 0, right = 0;
  double middle = 0;   ///< y of the plane between the shafts
  double across = 1;   ///< drawing units per metre crosswise
  Scale x() const { return {from, to, left, right}; }
};

/// Temperatures at the two ends of the colour scale [K].
struct ColourRange {
  double low = 0, high = 0;
  double share(double T) const { return high > low ? (T - low) / (high - low) : 0.5; }
};

/// Both screws seen from above, as their profiles say: at every station the visible part of each land, flank and
/// root is computed (docs/guide/report.md), so helices, staggered discs and rings come out as they look. With a
/// state the stock is drawn in the channels, against the flank that pushes it, as wide as the computed fill, in the
/// colour of its temperature.
void draw_screw(Svg& svg, const Trial& trial, const ScrewFrame& frame, const ProfileTable* stock,
                const ColourRange& colours);

/// Half the width of the figure-eight bore, seen from above [m].
double bore_half_width(const Section& section);

/// Range of all stock temperatures, widened to whole tens of kelvin.
ColourRange colour_range(const ProfileTable& profile);

}  // namespace quern
