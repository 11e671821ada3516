#pragma once
#include <vector>

#include "machine/march.hpp"
namespace quern {

/// One station an element. Rates of the melt are those of the full element, tip passes of melt come from the flow over
/// the tips, those of granules from the closures of engagement.
/// @param record of the march that found the steady state
std::vector<Station> stations(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchRecord& record);

/// Residence time distribution of one element: what stands full of melt mixes along the axis as tracked in the element,
/// unless the closure mixing_length is fixed; all else by the closures mixing_length and plug_share.
std::vector<MixedLength> mixing_of(const ElementState& element, const ElementFlow& flow, const Trial& trial);

}  // namespace quern
