#pragma once
#include <string>
namespace quern {

/// "#rrggbb" of a share on a scale whose lightness rises steadily, so that it survives a black-and-white printer and
/// reads the same with and without full colour vision: cividis, Nuñez, Anderton & Renslow (2018), PLoS ONE 13,
/// e0199239; ten of its anchors (values from memory), straight lines between. @param share clipped to [0, 1]
std::string colour_of(double share);

}  // namespace quern
