#pragma once
#include <cstddef>
#include <vector>

#include "flow/strip_field.hpp"
namespace quern {

/// One cell of the unwound barrel while the screws turn by one interval: what passes its faces and how much it holds.
/// Balances close to rounding: flux and axial are free of divergence, and volume changes by what is swept.
struct TrackCell {
  double flux[2];    ///< through its faces along the strand, seen from the screws, mean of the interval
  double swept[2];   ///< what the screws' turning itself carries through those faces
  double axial[2];   ///< through its faces to the row before and the row behind, towards +z
  double volume[2];  ///< at the start and at the end of the interval
};

/// What the two screws carry past the faces of a cell of the nip, as their sliding walls drag the whole gap g between
/// them: ω x g each, screw 1 up and screw 2 down, x the reach of the screw.
struct NipWalls {
  double up[2];
  double down[2];
};

/// Cells of the three strands (lobe 1 from the upper cusp, lobe 2 from the lower, the nip upwards) through one period
/// of turning. Unit of length the screw diameter, of time a turn. A strand of n links has n + 1 cells, the first and
/// the last of half width: they touch the cusps, where cells of all three strands meet and nothing is stored.
///
/// Volumes are the true ones, lobes (Rb² - r²)/2 per radian, the nip between the rays from the axes to the cusps: they
/// add up to the free section at every instant. docs/theory/particle-tracking.md.
struct TrackField {
  int rows = 0;  ///< stored
  int lobe_cells = 0;  ///< of each lobe
  int nip_cells = 0;
  int intervals = 0;  ///< stored; then the pattern has moved on by `shift` rows and they serve again
  int shift = 0;  ///< 0: the stored intervals are a whole period
  double duration = 0;  ///< of one interval [turns]
  double row = 0;  ///< length of one row
  bool periodic = false;  ///< rows follow one another for ever; otherwise they are all there is
  double throughput = 0;  ///< at every instant, towards +z
  std::vector<TrackCell> cells{};  ///< shape (intervals, rows, 2 lobe_cells + nip_cells)
  std::vector<NipWalls> nip_walls{};  ///< shape (intervals, rows, nip_cells)
  std::vector<double> nip_rate{};  ///< shear rate of the sliding, ωC/g [per turn], same shape

  double bore_radius = 0;  ///< Rb
  double cusp_angle = 0;  ///< of the upper cusp, from the line of centres
  double cell_angle = 0;  ///< of a whole cell of a lobe
  int starts = 2;
  double twist_row = 0;  ///< conveying: angle of the profile from row to row, positive conveys forward
  double twist_disc = 0;  ///< kneading: from disc to disc
  int rows_per_disc = 0;  ///< 0: conveying

  int row_cells() const { return 2 * lobe_cells + nip_cells; }
  bool in_nip(int cell) const { return cell >= 2 * lobe_cells; }
  std::size_t place(int interval, int slot, int cell) const {
    return (static_cast<std::size_t>(interval) * static_cast<std::size_t>(rows) + static_cast<std::size_t>(slot)) *
               static_cast<std::size_t>(row_cells()) +
           static_cast<std::size_t>(cell);
  }
  const TrackCell& at(int interval, int slot, int cell) const { return cells[place(interval, slot, cell)]; }
  std::size_t nip_place(int interval, int slot, int cell) const {
    return (static_cast<std::size_t>(interval) * static_cast<std::size_t>(rows) + static_cast<std::size_t>(slot)) *
               static_cast<std::size_t>(nip_cells) +
           static_cast<std::size_t>(cell - 2 * lobe_cells);
  }

  /// Angle in the bore of a point of a lobe's cell. @param along in [0, 1]
  double bore_angle(int cell, double along) const;
  /// Profile angle there, 0 at a tip's centre. @param row from the inlet on, with its fraction @param turns since 0
  double profile_angle(int cell, double along, double row, double turns) const;
  /// Of the bore's surface (lobes) or the plane between the screws (nip).
  double cell_width(int cell) const;

  /// Rows that make up a length, at least one; all there are of a block.
  int rows_of(double length) const;
  double volume_per_length() const;  ///< the free section, as the cells have it
  /// Volume mean of the shear rate |∂v/∂y|, over the period [per turn].
  double mean_rate() const;
};

/// Shear rate |∂v/∂y| in a lobe's cell. @param depth from the barrel, as a share of the gap's volume @param volume of
/// the cell @param flux along the strand, seen from the screws @param axial towards +z
double lobe_rate(const TrackField& field, int cell, double depth, double volume, double flux, double axial);

/// What a TrackField is made for.
struct TrackSetting {
  Run run = Run::endless;  ///< endless only for conveying
  double throughput = 0;  ///< V/(N D³), negative against the conveying sense
  int turns = 48;  ///< intervals to one period of the profile (kneading; conveying has one per row)
  int threads = 1;
};

/// Solves the strip at the middle of every interval, with the pressure gradient that gives the throughput.
TrackField track_field(const ElementShape& shape, const StripGrid& grid, const TrackSetting& setting);

}  // namespace quern
