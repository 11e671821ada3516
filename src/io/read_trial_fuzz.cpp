// Any bytes at all as a project: accepted, or refused with faults that say where and what.
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "io/read_trial.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  try {
    (void)quern::read_trial_text(std::string_view(reinterpret_cast<const char*>(data), size), "fuzz.toml", "/nowhere");
  } catch (const quern::InputError& error) {
    if (error.faults().empty()) std::abort();
    for (const quern::Fault& fault : error.faults())
      if (fault.file.empty() || fault.wrong.empty() || fault.right.empty()) std::abort();
  }
  return 0;
}
