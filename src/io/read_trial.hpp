#pragma once
#include <filesystem>
#include <string>
#include <string_view>

#include "machine/trial.hpp"
namespace quern {

/// A project file as a trial ready to solve: format quern/1 (docs/guide/project).
/// @throws InputError  every fault found, with file, line and field
Trial read_trial(const std::string& path);
/// @param name how faults call the text @param folder where paths in it start
Trial read_trial_text(std::string_view text, const std::string& name, const std::filesystem::path& folder);

}  // namespace quern
