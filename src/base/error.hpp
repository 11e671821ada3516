#pragma once
#include <stdexcept>
#include <string>
#include <tl/expected.hpp>
#include <vector>
namespace quern {

/// One thing wrong in the user's input.
struct Fault {
  std::string file{};   ///< as the user named it; empty for arguments and requests
  int line = 0;         ///< from 1; 0 when there is no line to point at
  std::string field{};  ///< dotted path, e.g. "feed[0].rate"
  std::string wrong{};  ///< what is there, in the user's own words and units
  std::string right{};  ///< what would be accepted, with an example
};

/// The user's input cannot be used. Carries every fault found, not only the first.
class InputError : public std::runtime_error {
 public:
  explicit InputError(std::vector<Fault> faults);
  const std::vector<Fault>& faults() const { return faults_; }

 private:
  std::vector<Fault> faults_;
};

/// Why a calculation ended without figures: what stopped, where along the line, and what to change.
///
/// `impossible`: the machine could not run this way (melt would leave through the vent, say).
/// `not_converged`: the iteration failed; the physics may be fine.
struct Stop {
  enum class Kind { impossible, not_converged };
  Kind kind = Kind::impossible;
  std::string name{};   ///< one of the documented reasons, e.g. "feed floods"
  std::string place{};  ///< "element 12, kneading, 465 mm from the feed end"
  std::string text{};   ///< a sentence for the reader: what, value, allowed, what to change
};

/// A result, or the reason there is none. No figure can be read from the second.
template <class T>
using Solved = tl::expected<T, Stop>;

/// `file:line: field: wrong` and an indented line with what would be right, one fault after the other.
std::string describe(const std::vector<Fault>& faults);

}  // namespace quern
