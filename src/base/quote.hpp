#pragma once
#include <cstddef>
#include <string>
#include <string_view>
namespace quern {

/// The user's text as a message may show it: at most so many letters, cut between letters, and whatever a terminal
/// would act upon (control characters, changes of writing direction, bytes that are not UTF-8) written as a code.
std::string shown(std::string_view text, std::size_t most = 60);

/// The same in quotation marks.
std::string quote(std::string_view text, std::size_t most = 60);

}  // namespace quern
