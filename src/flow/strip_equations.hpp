#pragma once
#include <vector>

#include "flow/strip_field.hpp"
namespace quern {

inline std::size_t strip_index(int i) { return static_cast<std::size_t>(i); }

/// The equations of a snapshot, viscosity as the field's conductances have it.
StripSystem strip_system(const StripField& field);
/// What turning drives into each cell, shape (columns, rows).
std::vector<double> drag_source(const StripField& field);
/// What a mean pressure gradient of one drives into each cell; endless runs carry it as G z beside a periodic pressure.
std::vector<double> gradient_source(const StripField& field);
/// Axial flow, mean over the rows, of the pressures p + G z (endless) or p (block).
double axial_flow(const StripField& field, const std::vector<double>& p, double G);
/// The same row by row: what passes from each row to the next, shape (rows), or rows + 1 faces of a block.
std::vector<double> axial_flows(const StripField& field, const std::vector<double>& p, double G);
/// Power that pressure alone dissipates: conductance times the square of each difference, gradient G included.
double pressure_dissipation(const StripField& field, const std::vector<double>& p, double G);

/// Pressure gradient along the axis felt in each cell of an endless run, of the pressures p + G z: from the flow through
/// its row, since beside the edge of a disc a difference of pressures belongs to the shallower disc alone.
std::vector<double> axial_gradient(const StripField& field, const std::vector<double>& p, double G);

/// Calls visit(link and row, cell it comes from, cell it goes to, link) for every link and row.
template <class F>
void over_links(const StripField& f, const F& visit) {
  const auto ends = f.topology.link_ends();
  for (int l = 0; l < f.topology.links(); ++l)
    for (int k = 0; k < f.topology.rows; ++k)
      visit(strip_index(l * f.topology.rows + k), strip_index(ends[strip_index(l)].from * f.topology.rows + k),
            strip_index(ends[strip_index(l)].to * f.topology.rows + k), l);
}

}  // namespace quern
