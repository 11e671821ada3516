#pragma once
#include <optional>
#include <string>
#include <vector>

#include "base/error.hpp"
#include "base/progress.hpp"
#include "io/element_figures.hpp"
#include "io/element_store.hpp"
namespace quern {

/// Which elements of a project's screw to look at, and the picture to leave behind.
struct ElementRequest {
  std::string project{};              ///< path of the project file
  std::optional<int> number{};        ///< place in the screw, from 1; all distinct elements without it
  std::optional<std::string> svg{};   ///< write the picture of that one element here
};

/// The trial as read, and the figures of the elements asked for, or why there are none.
struct ElementAnswer {
  Trial trial;
  Solved<std::vector<ElementFigures>> elements;
};

/// Reads a project and says what the elements of its screw do to a liquid. Shapes that neither the program nor the
/// store knows are solved, which takes some seconds each.
/// @throws InputError  the project cannot be used; no element of that number; a picture without a number; a file cannot
///   be written
ElementAnswer show_elements(const ElementRequest& request, const ElementStore& store, const Progress& progress);

}  // namespace quern
