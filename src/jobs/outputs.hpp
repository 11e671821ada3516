#pragma once
#include <span>
#include <string>
#include <string_view>

namespace quern {

/// A file that a job is asked to leave behind.
struct Output {
  std::string_view what{};  ///< "profile", for people
  std::string path{};
};

/// Asks, before anything is written, that no output is the project itself and no two outputs are one file: by name, by
/// another way to the same name, or by a link.
/// @throws InputError  naming every output that would destroy another file
void refuse_overwriting(const std::string& project, std::span<const Output> outputs);

}  // namespace quern
