#pragma once
#include <filesystem>
#include <string>
#include <string_view>

#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// All that a project file says: the trial to solve, and what is asked about structure.
struct Project {
  Trial trial{};
  StructurePlan structure{};
  Coefficients coefficients{};
};

/// A project file, format quern/1 (docs/guide/project).
/// @throws InputError  every fault found, with file, line and field
Project read_project(const std::string& path);
/// @param name how faults call the text @param folder where paths in it start
Project read_project_text(std::string_view text, const std::string& name, const std::filesystem::path& folder);

/// The trial alone; the whole file is checked all the same.
Trial read_trial(const std::string& path);
Trial read_trial_text(std::string_view text, const std::string& name, const std::filesystem::path& folder);

}  // namespace quern
