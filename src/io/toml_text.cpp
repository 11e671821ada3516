#include "io/toml_text.hpp"

#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>

#include "base/error.hpp"
#include "base/quote.hpp"

namespace quern {
namespace {

constexpr std::size_t most_bytes = 5'000'000;
constexpr int most_nesting = 64;
constexpr int most_values = 50'000;

[[noreturn]] void refuse(const std::string& file, int line, std::string wrong, std::string right) {
  throw InputError({{.file = file, .line = line, .wrong = std::move(wrong), .right = std::move(right)}});
}

[[noreturn]] void refuse_size(const std::string& file, std::size_t bytes) {
  refuse(file, 0, fmt::format("{:.1f} MB is too much for a project", static_cast<double>(bytes) / 1e6),
         "a file of at most 5 MB");
}

/// Bytes of the UTF-8 letter at the head of a text, 0 when there is none.
std::size_t letter_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char c = byte(0);
  if (c < 0x80) return 1;
  const std::size_t n = c >= 0xF0 ? 4 : c >= 0xE0 ? 3 : 2;
  if (c < 0xC2 || c > 0xF4 || n > text.size()) return 0;
  unsigned code = c & (0xFFU >> (n + 1));
  for (std::size_t k = 1; k < n; ++k) {
    if ((byte(k) & 0xC0) != 0x80) return 0;
    code = (code << 6) | (byte(k) & 0x3FU);
  }
  const bool is_overlong = (n == 3 && code < 0x800) || (n == 4 && code < 0x10000);
  const bool is_surrogate = code >= 0xD800 && code <= 0xDFFF;
  return is_overlong || is_surrogate || code > 0x10FFFF ? 0 : n;
}

/// The line of the first place that is not UTF-8, from 1; 0 when all is.
int bad_utf8_line(std::string_view text) {
  for (int line = 1; !text.empty();) {
    const std::size_t n = letter_length(text);
    if (n == 0) return line;
    line += text[0] == '\n';
    text.remove_prefix(n);
  }
  return 0;
}

/// What a parser would have to hold, read off the punctuation outside texts and comments.
struct Burden {
  int nesting = 0, line = 1;  ///< deepest brackets or dotted key, and where
  int values = 0;             ///< no fewer than there are values
};

/// Past a text in quotation marks of any of TOML's four kinds, or to the end of what was never closed.
std::size_t end_of_text(std::string_view text, std::size_t at) {
  const char mark = text[at];
  const std::string three(3, mark);
  const bool is_multiline = text.substr(at, 3) == three;
  for (std::size_t i = at + (is_multiline ? 3 : 1); i < text.size(); ++i) {
    if (text[i] == '\\' && mark == '"') ++i;
    else if (is_multiline ? text.substr(i, 3) == three : text[i] == mark) return i + (is_multiline ? 3 : 1);
    else if (text[i] == '\n' && !is_multiline) return i;
  }
  return text.size();
}

Burden burden(std::string_view text) {
  Burden most;
  int depth = 0, dots = 0, line = 1;
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    std::size_t next = i + 1;
    if (c == '"' || c == '\'') next = end_of_text(text, i);
    else if (c == '#') next = std::min(text.find('\n', i), text.size());
    line += static_cast<int>(std::ranges::count(text.substr(i, next - i), '\n'));
    if (c == '\n' || c == '=' || c == ',') dots = 0;  // a number has a dot as well
    if (c == '[' || c == '{') ++depth, dots = 0;
    if ((c == ']' || c == '}') && depth > 0) --depth;
    dots += c == '.';
    most.values += c == '=' || c == ',' || c == '[' || c == '{';
    if (const int now = std::max(depth, dots); now > most.nesting) most.nesting = now, most.line = line;
    i = next;
  }
  return most;
}

void guard(std::string_view text, const std::string& file) {
  const std::string toml = "a text file in TOML, as in the examples";
  if (text.size() > most_bytes) refuse_size(file, text.size());
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) refuse(file, 0, "the file is empty", toml);
  if (const auto nul = text.find('\0'); nul != std::string_view::npos)
    refuse(file, 1 + static_cast<int>(std::ranges::count(text.substr(0, nul), '\n')),
           "not a text file: it holds a NUL byte", toml);
  if (const int line = bad_utf8_line(text)) refuse(file, line, "not UTF-8 text", "save the file as UTF-8");
  const Burden most = burden(text);
  if (most.nesting > most_nesting)
    refuse(file, most.line, fmt::format("nested {} deep", most.nesting),
           fmt::format("at most {} levels", most_nesting));
  if (most.values > most_values)
    refuse(file, 0, fmt::format("some {} values are too many for a project", most.values),
           fmt::format("at most {}", most_values));
}

}  // namespace

toml::table parse_toml(std::string_view text, const std::string& file) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  guard(text, file);
  try {
    return toml::parse(text, std::string_view(file));
  } catch (const toml::parse_error& error) {
    refuse(file, static_cast<int>(error.source().begin.line), "not TOML: " + shown(error.description(), 200),
           "one `key = value` a line, texts in quotation marks, tables in [brackets]");
  }
}

std::string read_text_file(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (!fs::exists(status) || path.find('\0') != std::string::npos)
    refuse(shown(path, 300), 0, "no such file", "the path of a project file, for example examples/combined.toml");
  if (fs::is_directory(status)) refuse(shown(path, 300), 0, "a folder, not a file", "the path of a project file in it");
  if (!fs::is_regular_file(status))
    refuse(shown(path, 300), 0, "a pipe or a device, not a file", "the path of a file on disk");
  const auto size = fs::file_size(path, error);
  if (!error && size > most_bytes) refuse_size(shown(path, 300), size);
  std::ifstream in(path, std::ios::binary);
  if (!in) refuse(shown(path, 300), 0, "cannot be read", "a file that you may read");
  std::string text(most_bytes + 1, '\0');  // it may have grown since, and files of the system tell no size
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  return text;
}

}  // namespace quern
