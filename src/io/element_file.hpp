#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "flow/element_library.hpp"
namespace quern {

/// One solved element as JSON text: the shape, the method's number, the figures, and a digest over all of it.
std::string element_text(const ElementSolution& solution);

/// A solved element, or why the text cannot be used: it is no such file, of another method, damaged or changed by
/// hand (digest), or its figures are no element's (reciprocity, signs, order, finite).
struct ElementReading {
  std::optional<ElementSolution> solution{};
  std::string wrong{};
};
ElementReading read_element(std::string_view text);

/// Name of the file that holds a shape: "conveying-1a2b3c4d5e6f7a8b.json".
std::string element_file_name(const ElementShape& shape);

/// The elements that come with the program (data/elements): those of the bundled projects.
const ElementLibrary& shipped_elements();

}  // namespace quern
