#include "jobs/outputs.hpp"

#include <filesystem>
#include <fmt/format.h>

#include "base/error.hpp"

namespace quern {
namespace {

namespace fs = std::filesystem;

/// Files that exist are compared as the disk knows them, names of files to come as they resolve.
bool is_same_file(const std::string& a, const std::string& b) {
  std::error_code error;
  if (fs::equivalent(a, b, error) && !error) return true;
  const fs::path first = fs::weakly_canonical(a, error);
  if (error) return false;
  const fs::path second = fs::weakly_canonical(b, error);
  return !error && first == second;
}

}  // namespace

void refuse_overwriting(const std::string& project, std::span<const Output> outputs) {
  std::vector<Fault> faults;
  for (std::size_t i = 0; i < outputs.size(); ++i) {
    const Output& output = outputs[i];
    if (is_same_file(output.path, project))
      faults.push_back({.file = output.path, .wrong = "would overwrite the project", .right = "give it another name"});
    for (const Output& other : outputs.first(i))
      if (is_same_file(output.path, other.path))
        faults.push_back({.file = output.path,
                          .wrong = fmt::format("would be both {} and {}", other.what, output.what),
                          .right = "give them two names"});
  }
  if (!faults.empty()) throw InputError(std::move(faults));
}

}  // namespace quern
