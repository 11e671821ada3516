#pragma once
namespace quern {

/// What the side face at the edge between two neighbouring discs does to lubrication along the bore, where the gap to
/// the barrel jumps from h_s to h_d. Each factor belongs to the half disc next to the edge, w/2 wide.
///
/// The cell from the middle of one disc to the middle of the next, mirrored without end, is solved in two dimensions
/// for Stokes flow and tabulated; docs/theory/disc-edges. Interpolated, the factors are within 0.002, across and shear
/// within 0.005 of the solution. Ignored: changes of h_s and h_d along the edge, the slope of flanks, curvature,
/// differing pressure gradients along the two discs, the other screw.
struct DiscEdge {
  double along_deep = 1, along_shallow = 1;  ///< of the mobility h³/12 for pressure flow along the edge [1]
  double drag_deep = 1, drag_shallow = 1;    ///< of the flow U h/2 along the edge, dragged by screw and face [1]
  double across = 0;  ///< pressure flow over the edge passes this further length of the lesser gap, in h_s [1]
  double shear = 0;   ///< force per length of edge on the barrel, beyond U/h of both halves, in η U [1]
};

/// At a lone edge, h_d much less than w, shear tends to
///   (1/π) [(1-α)²/α ln((1+α)/(1-α)) + 2 ln((1+α)²/4α)],   α = h_s/h_d,
/// the fringing capacitance of a step between plates: Whinnery & Jamieson (1944), Proc. IRE 32, 98 (value from memory,
/// confirmed to 1e-4 by the solution).
/// @param shallow, deep the two gaps in either order @param disc_width w; all in one unit and more than 0. Beyond
///   disc_edge_in_range the nearest cell of the table answers; nothing is refused.
DiscEdge disc_edge(double shallow, double deep, double disc_width);

/// h_s at least 0.01 h_d, h_d at most 2.4 w.
bool disc_edge_in_range(double shallow, double deep, double disc_width);

}  // namespace quern
