#pragma once
#include <functional>
#include <string_view>
namespace quern {

/// What long work reports to, and asks whether to go on.
struct Progress {
  std::function<void(double share, std::string_view step)> report{};  ///< share done [0, 1]; may be empty
  std::function<bool()> cancelled{};                                  ///< may be empty: never cancelled
};

}  // namespace quern
