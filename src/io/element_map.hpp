#pragma once
#include <vector>

#include "flow/element_solution.hpp"
#include "io/contour.hpp"
namespace quern {

/// One of the three strips of the unwound barrel: the bore of each screw, and the nip between the screws. Unit of
/// length the screw diameter; x along the strip the way the screws turn (nip: upwards), y along the axis with the
/// machine's flow.
struct StripMap {
  double width = 0;
  GridValues gap;  ///< between wall and wall
  GridValues pressure;  ///< over that at the start, in η N
  GridValues stream;  ///< ψ: between two of its lines flows their difference, in N D³, seen from the turning screws
};

/// A length of element as it stands at one instant: a kneading block between planes of even pressure, or about one
/// diameter out of an endless run of a conveying element.
struct ElementMap {
  double length = 0;
  double throughput = 0;  ///< at this instant V*, with the machine's flow
  double gradient = 0;  ///< mean p*
  StripMap bore_1{}, bore_2{}, nip{};
};

/// @param mirrored an element that conveys backwards, the mirror image of its shape
/// @param gradient mean pressure gradient p*, seen the way the shape conveys
/// @param across   cells round one lobe; a multiple of 16
/// At the start of the element, the end where its shape begins, a tip of the first screw points at the second.
ElementMap element_map(const ElementShape& shape, bool mirrored, double gradient, int across);

}  // namespace quern
