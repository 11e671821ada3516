#pragma once
#include <vector>

#include "flow/element_solution.hpp"
namespace quern {

/// Solved elements, found by shape.
class ElementLibrary {
 public:
  /// @returns null when this shape is not there
  const ElementSolution* find(const ElementShape& shape) const;
  /// Takes the place of one of the same shape.
  void insert(ElementSolution solution);
  const std::vector<ElementSolution>& all() const { return solutions_; }

 private:
  std::vector<ElementSolution> solutions_{};
};

}  // namespace quern
