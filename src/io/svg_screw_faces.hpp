#pragma once
#include <array>
#include <optional>
#include <vector>

#include "geometry/screw.hpp"
namespace quern {

/// A stretch of the shaft whose cross-section turns steadily: a helical element, one disc, or a ring.
struct Turn {
  ElementKind kind = ElementKind::conveying;
  std::size_t element = 0;        ///< index into Screw::elements
  double from = 0, to = 0;        ///< [m]
  double phase_from = 0, phase_to = 0;  ///< angle of a tip of the first screw [rad]
  int starts = 2;
  double ring_radius = 0;         ///< rings only [m]
};

/// Every element as turns, each starting at the angle where its neighbour ended. Forward flights turn against the
/// screws' rotation (positive angle), so that rotation moves them downstream.
std::vector<Turn> turns(const Section& section, const Screw& screw);

/// The four faces between one tip's centre line and the next.
enum class Face { land, trailing_flank, root, leading_flank };

/// A visible strip: crosswise extent of one face of one screw, seen from above [m], zero on the plane between shafts.
struct Strip {
  Face face = Face::land;
  int tip = 0;  ///< which tip it belongs to
  double low = 0, high = 0;
};

/// What is seen of one cross-section from above: faces of both screws, hidden parts removed.
///
/// The line of sight lies in the cross-section, so each section stands alone. A self-wiping section is convex: a face
/// is seen where y = r sin θ grows with θ. Where the two sections overlap they are convex and apart, so one lies
/// wholly over the other; the higher one hides.
struct Seen {
  std::array<std::vector<Strip>, 2> faces{};   ///< by screw
  std::array<std::vector<Strip>, 2> stock{};   ///< by screw; face is always root
  std::array<double, 2> low{}, high{};         ///< visible extent by screw
};
/// @param phase tip angle of the first screw [rad] @param fill share of every channel that stock takes [1]
Seen seen_from_above(const Profile& profile, double centre_distance, double phase, double fill);

/// The same for two round sections (rings).
Seen seen_ring(const Profile& profile, double centre_distance, double ring_radius, double fill);

}  // namespace quern
