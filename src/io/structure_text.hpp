#pragma once
#include <string>

#include "structure/structure_plan.hpp"
namespace quern {

/// A figure in its unit for people, with the unit: "0.42 mm".
std::string structure_value(const StructureFigure& figure, double si);

/// How unequally the stock was treated, in a sentence or two.
std::string treatment_words(const Structure& structure);

/// The block "Structure" for a terminal, 80 columns: inequality of treatment first, then a line a model. Figures of models
/// with uncalibrated coefficients stand apart, as good for comparing trials only.
std::string structure_text(const Structure& structure);

}  // namespace quern
