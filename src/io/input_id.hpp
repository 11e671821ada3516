#pragma once
#include <string>
#include <string_view>
namespace quern {

/// A name for texts that changes when any byte of them does: a UUID of version 5 (RFC 9562, SHA-1) over all that was
/// added, lengths included. Results carry it, so that a figure can be led back to its input.
class InputId {
 public:
  void add(std::string_view text);
  std::string str() const;

 private:
  std::string all_{};
};

}  // namespace quern
