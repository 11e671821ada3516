#include "base/quote.hpp"

#include <fmt/format.h>

namespace quern {
namespace {

struct Letter {
  std::size_t bytes = 1;
  char32_t code = 0;
  bool valid = false;
};

/// The letter at the head of a text that may not be UTF-8; a byte that begins none stands for itself.
Letter first_letter(std::string_view text) {
  const auto head = static_cast<unsigned char>(text[0]);
  if (head < 0x80) return {1, head, true};
  const std::size_t bytes = head >= 0xF0 ? 4 : head >= 0xE0 ? 3 : 2;
  if (head < 0xC2 || head > 0xF4 || bytes > text.size()) return {1, head, false};
  char32_t code = head & (0xFFU >> (bytes + 1));
  for (std::size_t i = 1; i < bytes; ++i) {
    const auto next = static_cast<unsigned char>(text[i]);
    if ((next & 0xC0) != 0x80) return {1, head, false};
    code = (code << 6) | (next & 0x3FU);
  }
  return {bytes, code, true};
}

bool acts_on_terminal(char32_t c) {
  return c < 0x20 || (c >= 0x7F && c < 0xA0) || (c >= 0x200E && c <= 0x200F) || (c >= 0x2028 && c <= 0x202E) ||
         (c >= 0x2066 && c <= 0x2069);
}

}  // namespace

std::string shown(std::string_view text, std::size_t most) {
  std::string out;
  for (std::size_t letters = 0; !text.empty(); ++letters) {
    if (letters == most) return out + "...";
    const Letter letter = first_letter(text);
    if (!letter.valid) out += fmt::format("\\x{:02x}", static_cast<unsigned>(letter.code));
    else if (acts_on_terminal(letter.code)) out += fmt::format("\\u{:04x}", static_cast<unsigned>(letter.code));
    else out += text.substr(0, letter.bytes);
    text.remove_prefix(letter.bytes);
  }
  return out;
}

std::string quote(std::string_view text, std::size_t most) { return '"' + shown(text, most) + '"'; }

}  // namespace quern
