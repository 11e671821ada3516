#include "base/error.hpp"

namespace quern {

std::string describe(const std::vector<Fault>& faults) {
  std::string text;
  for (const Fault& fault : faults) {
    if (!text.empty()) text += '\n';
    if (!fault.file.empty()) text += fault.file + ':';
    if (fault.line > 0) text += std::to_string(fault.line) + ':';
    if (!text.empty() && text.back() == ':') text += ' ';
    if (!fault.field.empty()) text += fault.field + ": ";
    text += fault.wrong;
    if (!fault.right.empty()) text += "\n    " + fault.right;
  }
  return text;
}

InputError::InputError(std::vector<Fault> faults) : std::runtime_error(describe(faults)), faults_(std::move(faults)) {}

}  // namespace quern
