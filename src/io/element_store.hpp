#pragma once
#include <optional>
#include <string>

#include "flow/element_solution.hpp"
namespace quern {

/// Solved elements on this computer, one file each in the user's cache folder, so that a shape is solved once.
class ElementStore {
 public:
  /// @param folder empty: nothing is found and nothing kept
  explicit ElementStore(std::string folder) : folder_(std::move(folder)) {}
  /// Checked before use (io/element_file); what cannot be used is as if it were not there.
  std::optional<ElementSolution> find(const ElementShape& shape) const;
  /// @returns whether it could be written; without, the shape is solved anew next time
  bool keep(const ElementSolution& solution) const;
  const std::string& folder() const { return folder_; }

 private:
  std::string folder_;
};

/// $QUERN_CACHE/elements, else $XDG_CACHE_HOME/quern/elements, else ~/.cache/quern/elements; empty when none is known.
std::string element_store_folder();

}  // namespace quern
