#pragma once
#include <string>
#include <vector>

#include "base/error.hpp"
#include "base/progress.hpp"
#include "flow/element_library.hpp"
#include "io/element_store.hpp"
#include "machine/trial.hpp"
namespace quern {

/// The distinct shapes of a screw that a solver has to know: conveying and kneading elements without characteristics of
/// the user's own. Empty when the section or an element cannot be: the line model refuses those by name.
std::vector<ElementShape> shapes_to_solve(const Trial& trial);

/// Solutions of the shapes: from those that come with the program, from the store, or solved now on `threads` threads
/// and kept in the store.
/// @param threads 0: as many as the computer has
/// @returns the library, or which solver stopped and at which shape; "cancelled"
Solved<ElementLibrary> solve_elements(const std::vector<ElementShape>& shapes, const ElementStore& store,
                                      const Progress& progress, int threads = 0);

/// Solves the shapes of all projects afresh and writes one file each into a folder.
/// @returns the files written, or why not
Solved<std::vector<std::string>> write_elements(const std::vector<std::string>& projects, const std::string& folder,
                                                const Progress& progress);

/// Solves every element file of a folder afresh and compares: figures within 1e-6, relative.
/// @returns one line per file that differs or cannot be used; none when all is well
Solved<std::vector<std::string>> verify_elements(const std::string& folder, const Progress& progress);

}  // namespace quern
