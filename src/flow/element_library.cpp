#include "flow/element_library.hpp"

#include <algorithm>
#include <utility>

namespace quern {

const ElementSolution* ElementLibrary::find(const ElementShape& shape) const {
  const auto found = std::ranges::find(solutions_, shape, &ElementSolution::shape);
  return found == solutions_.end() ? nullptr : &*found;
}

void ElementLibrary::insert(ElementSolution solution) {
  const auto found = std::ranges::find(solutions_, solution.shape, &ElementSolution::shape);
  if (found == solutions_.end()) solutions_.push_back(std::move(solution));
  else *found = std::move(solution);
}

}  // namespace quern
