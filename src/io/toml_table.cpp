#include "io/toml_table.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <sstream>

namespace quern {
namespace {

constexpr std::size_t most_bytes = 5'000'000;
constexpr std::size_t most_faults = 50;

std::string kind_of(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string:
      return "a text";
    case toml::node_type::integer:
      return "a whole number";
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::table:
      return "a table";
    default:
      return "a date or time";
  }
}

int line_of_node(const toml::node& node) { return static_cast<int>(node.source().begin.line); }

std::string shorter(std::string_view text) { return std::string(text.substr(0, 60)) + (text.size() > 60 ? "..." : ""); }

/// First place where the text is not UTF-8, as a line from 1; 0 when it is.
int bad_utf8_line(std::string_view text) {
  int line = 1;
  for (std::size_t i = 0; i < text.size();) {
    const auto c = static_cast<unsigned char>(text[i]);
    const std::size_t n = c < 0x80                   ? 1
                          : (c >= 0xC2 && c <= 0xDF) ? 2
                          : (c >= 0xE0 && c <= 0xEF) ? 3
                          : (c >= 0xF0 && c <= 0xF4) ? 4
                                                     : 0;
    if (n == 0 || i + n > text.size()) return line;
    unsigned code = n == 1 ? c : c & (0xFFU >> (n + 1));
    for (std::size_t k = 1; k < n; ++k) {
      const auto d = static_cast<unsigned char>(text[i + k]);
      if ((d & 0xC0) != 0x80) return line;
      code = (code << 6) | (d & 0x3F);
    }
    if ((n == 3 && code < 0x800) || (n == 4 && (code < 0x10000 || code > 0x10FFFF)) ||
        (code >= 0xD800 && code <= 0xDFFF))
      return line;
    if (c == '\n') ++line;
    i += n;
  }
  return 0;
}

/// Deepest nesting of brackets, outside strings and comments, and of dotted keys; with its line.
std::pair<int, int> deepest(std::string_view text) {
  int depth = 0, dots = 0, most = 0, line = 1, at = 1;
  char quote = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line, dots = 0, quote = 0;
    else if (quote != 0) {
      if (c == '\\' && quote == '"') ++i;
      else if (c == quote) quote = 0;
    } else if (c == '"' || c == '\'') quote = c;
    else if (c == '#') {
      while (i + 1 < text.size() && text[i + 1] != '\n') ++i;
    } else if (c == '[' || c == '{') ++depth;
    else if (c == ']' || c == '}') depth = std::max(0, depth - 1);
    else if (c == '.') ++dots;
    if (const int now = std::max(depth, dots); now > most) most = now, at = line;
  }
  return {most, at};
}

void guard(std::string_view text, const std::string& file) {
  const auto refuse = [&](int line, std::string wrong, std::string right) {
    throw InputError({{.file = file, .line = line, .wrong = std::move(wrong), .right = std::move(right)}});
  };
  const std::string toml = "a text file in TOML, as in the examples";
  if (text.size() > most_bytes)
    refuse(0, fmt::format("{:.1f} MB is too much for a project", static_cast<double>(text.size()) / 1e6),
           "a file of at most 5 MB");
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) refuse(0, "the file is empty", toml);
  if (const auto nul = text.find('\0'); nul != std::string_view::npos)
    refuse(1 + static_cast<int>(std::ranges::count(text.substr(0, nul), '\n')), "not a text file: it holds a NUL byte",
           toml);
  if (const int line = bad_utf8_line(text)) refuse(line, "not UTF-8 text", "save the file as UTF-8");
  if (const auto [depth, line] = deepest(text); depth > 64)
    refuse(line, fmt::format("nested {} deep", depth), "at most 64 levels");
}

}  // namespace

void FaultLog::add(Fault fault) {
  if (faults_.size() < most_faults) faults_.push_back(std::move(fault));
  else ++more_;
}

void FaultLog::throw_if_any() const {
  if (faults_.empty()) return;
  std::vector<Fault> all = faults_;
  if (more_ > 0)
    all.push_back(
        {.file = faults_.front().file, .wrong = fmt::format("{} more faults", more_), .right = "mend these first"});
  throw InputError(std::move(all));
}

TableReader::TableReader(const toml::table& table, std::string file, std::string path, FaultLog& log)
    : table_(&table), file_(std::move(file)), path_(std::move(path)), log_(&log) {}

std::string TableReader::field(std::string_view key) const {
  const bool bare = !key.empty() && std::ranges::all_of(key, [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) || c == '_' || c == '-';
  });
  const std::string shown = bare ? std::string(key) : '"' + shorter(key) + '"';
  return path_.empty() ? shown : path_ + '.' + shown;
}

int TableReader::line_of(std::string_view key) const {
  const toml::node* node = table_->get(key);
  return node != nullptr ? line_of_node(*node) : line();
}

void TableReader::fault(std::string_view key, std::string wrong, std::string right) {
  log_->add({.file = file_,
             .line = line_of(key),
             .field = key.empty() ? path_ : field(key),
             .wrong = std::move(wrong),
             .right = std::move(right)});
}

const toml::node* TableReader::take(std::string_view key) {
  if (std::ranges::find(known_, key) == known_.end()) known_.emplace_back(key);
  return table_->get(key);
}

std::optional<double> TableReader::read_quantity(const toml::node& node, const std::string& field, Kind kind,
                                                 Range range) {
  const auto refuse = [&](std::string wrong, std::string right) -> std::optional<double> {
    log_->add({.file = file_,
               .line = line_of_node(node),
               .field = field,
               .wrong = std::move(wrong),
               .right = std::move(right)});
    return std::nullopt;
  };
  const std::string example(info(kind).example);
  double si = 0;
  std::string typed;
  if (const auto* text = node.as_string()) {
    typed = '"' + shorter(text->get()) + '"';
    if (const auto bad = parse_quantity(text->get(), kind, si)) return refuse(bad->wrong, bad->right);
  } else if (node.is_number()) {
    si = node.is_integer() ? static_cast<double>(node.as_integer()->get()) : node.as_floating_point()->get();
    typed = fmt::format("{:g}", si);
    if (kind != Kind::ratio)
      return refuse(fmt::format("\"{}\" has no unit", typed),
                    fmt::format("write a {}, for example \"{}\"", info(kind).name, example));
    if (!std::isfinite(si)) return refuse(typed + " is not a finite number", "a number, for example " + example);
  } else {
    return refuse(kind_of(node) + " where a " + std::string(info(kind).name) + " belongs",
                  fmt::format("write \"{}\"", example));
  }
  const std::string_view unit = info(kind).si;
  if (si < range.lowest || (range.above_lowest && si == range.lowest))
    return refuse(fmt::format("{} is {}", typed,
                              range.above_lowest ? fmt::format("not more than {:g}{}", range.lowest,
                                                               range.lowest == 0 ? "" : " " + std::string(unit))
                                                 : fmt::format("less than {}", show(range.lowest, kind, unit))),
                  fmt::format("write a {}, for example \"{}\"", info(kind).name, example));
  if (si > range.highest)
    return refuse(fmt::format("{} is more than {}", typed, show(range.highest, kind, unit)),
                  fmt::format("at most {}", show(range.highest, kind, unit)));
  return si;
}

std::optional<double> TableReader::quantity(std::string_view key, Kind kind, Range range) {
  const toml::node* node = take(key);
  return node != nullptr ? read_quantity(*node, field(key), kind, range) : std::nullopt;
}

double TableReader::required(std::string_view key, Kind kind, Range range, double otherwise) {
  const toml::node* node = take(key);
  if (node == nullptr) {
    fault(key, "missing", fmt::format("{} = \"{}\"", key, info(kind).example));
    return otherwise;
  }
  return read_quantity(*node, field(key), kind, range).value_or(otherwise);
}

std::optional<std::string> TableReader::text(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* text = node->as_string()) {
    if (text->get().size() <= 500) return text->get();
    fault(key, fmt::format("a text of {} letters", text->get().size()), "at most 500 letters");
    return std::nullopt;
  }
  fault(key, kind_of(*node) + " where a text belongs", "a text in quotation marks");
  return std::nullopt;
}

std::string TableReader::required_text(std::string_view key) {
  if (!has(key)) {
    take(key);
    fault(key, "missing", fmt::format("{} = \"...\"", key));
  }
  return text(key).value_or("");
}

std::optional<int> TableReader::whole(std::string_view key, int lowest, int highest) {
  const toml::node* node = take(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* number = node->as_integer()) {
    if (number->get() >= lowest && number->get() <= highest) return static_cast<int>(number->get());
    fault(key, fmt::format("{} is out of range", number->get()),
          fmt::format("a whole number from {} to {}", lowest, highest));
    return std::nullopt;
  }
  fault(key, kind_of(*node) + " where a whole number belongs",
        fmt::format("a whole number from {} to {}", lowest, highest));
  return std::nullopt;
}

std::optional<int> TableReader::choice(std::string_view key, std::vector<std::string_view> words) {
  const auto word = text(key);
  if (!word) return std::nullopt;
  if (const auto at = std::ranges::find(words, *word); at != words.end()) return static_cast<int>(at - words.begin());
  const std::string_view near = nearest(*word, words);
  fault(key, fmt::format("\"{}\" is not one of its words", shorter(*word)),
        near.empty() ? fmt::format("one of: {}", fmt::join(words, ", "))
                     : fmt::format("did you mean \"{}\"? ({})", near, fmt::join(words, ", ")));
  return std::nullopt;
}

std::optional<TableReader> TableReader::table(std::string_view key) {
  const toml::node* node = take(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* t = node->as_table()) return TableReader(*t, file_, field(key), *log_);
  fault(key, kind_of(*node) + " where a table belongs", fmt::format("a table [{}]", field(key)));
  return std::nullopt;
}

std::vector<TableReader> TableReader::tables(std::string_view key) {
  std::vector<TableReader> list;
  const toml::node* node = take(key);
  if (node == nullptr) return list;
  const auto* array = node->as_array();
  if (array == nullptr) {
    fault(key, kind_of(*node) + " where a list of tables belongs", fmt::format("[[{}]] before each", field(key)));
    return list;
  }
  std::size_t i = 0;
  for (const toml::node& item : *array) {
    const std::string path = fmt::format("{}[{}]", field(key), i++);
    if (const auto* t = item.as_table()) list.emplace_back(*t, file_, path, *log_);
    else
      log_->add({.file = file_,
                 .line = line_of_node(item),
                 .field = path,
                 .wrong = kind_of(item) + " where a table belongs",
                 .right = fmt::format("[[{}]]", field(key))});
  }
  return list;
}

std::vector<std::pair<double, double>> TableReader::pairs(std::string_view key, Kind first, Kind second) {
  std::vector<std::pair<double, double>> list;
  const toml::node* node = take(key);
  if (node == nullptr) return list;
  const std::string form = fmt::format("[[\"{}\", \"{}\"], ...]", info(first).example, info(second).example);
  const auto* array = node->as_array();
  if (array == nullptr) {
    fault(key, kind_of(*node) + " where a list of pairs belongs", form);
    return list;
  }
  std::size_t i = 0;
  for (const toml::node& item : *array) {
    const std::string at = fmt::format("{}[{}]", field(key), i++);
    const auto* pair = item.as_array();
    if (pair == nullptr || pair->size() != 2) {
      log_->add({.file = file_, .line = line_of_node(item), .field = at, .wrong = "not a pair", .right = form});
      continue;
    }
    const auto a = read_quantity(*pair->get(0), at + "[0]", first, {}),
               b = read_quantity(*pair->get(1), at + "[1]", second, {});
    if (a && b) list.emplace_back(*a, *b);
  }
  return list;
}

std::vector<std::string> TableReader::texts(std::string_view key) {
  std::vector<std::string> list;
  const toml::node* node = take(key);
  if (node == nullptr) return list;
  const auto* array = node->as_array();
  if (array == nullptr) {
    fault(key, kind_of(*node) + " where a list of texts belongs", fmt::format("{} = [\"...\"]", key));
    return list;
  }
  for (const toml::node& item : *array) {
    if (const auto* text = item.as_string()) list.push_back(text->get());
    else
      log_->add({.file = file_,
                 .line = line_of_node(item),
                 .field = field(key),
                 .wrong = kind_of(item) + " where a text belongs",
                 .right = "a text in quotation marks"});
  }
  return list;
}

std::vector<std::string> TableReader::names() {
  std::vector<std::pair<int, std::string>> found;
  for (const auto& [key, node] : *table_) {
    known_.emplace_back(key.str());
    found.emplace_back(line_of_node(node), std::string(key.str()));
  }
  std::ranges::stable_sort(found, {}, &std::pair<int, std::string>::first);
  std::vector<std::string> list;
  for (auto& [line, name] : found) list.push_back(std::move(name));
  return list;
}

void TableReader::finish() {
  std::vector<std::string_view> known(known_.begin(), known_.end());
  for (const auto& [key, node] : *table_) {
    if (std::ranges::find(known, key.str()) != known.end()) continue;
    const std::string_view near = nearest(key.str(), known);
    std::ranges::sort(known);
    fault(key.str(), "no such field",
          near.empty() ? fmt::format("one of: {}", fmt::join(known, ", ")) : fmt::format("did you mean \"{}\"?", near));
  }
}

toml::table parse_toml(std::string_view text, const std::string& file) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  guard(text, file);
  try {
    return toml::parse(text, std::string_view(file));
  } catch (const toml::parse_error& error) {
    throw InputError({{.file = file,
                       .line = static_cast<int>(error.source().begin.line),
                       .wrong = "not TOML: " + std::string(error.description()).substr(0, 200),
                       .right = "one `key = value` a line, texts in quotation marks, tables in [brackets]"}});
  }
}

std::string read_text_file(const std::string& path) {
  namespace fs = std::filesystem;
  const auto refuse = [&](std::string wrong, std::string right) {
    throw InputError({{.file = path, .wrong = std::move(wrong), .right = std::move(right)}});
  };
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (!fs::exists(status)) refuse("no such file", "the path of a project file, for example examples/combined.toml");
  if (fs::is_directory(status)) refuse("a folder, not a file", "the path of a project file in it");
  if (fs::is_regular_file(status)) {
    const auto size = fs::file_size(path, error);
    if (!error && size > most_bytes)
      refuse(fmt::format("{:.1f} MB is too much for a project", static_cast<double>(size) / 1e6),
             "a file of at most 5 MB");
  }
  std::ifstream in(path, std::ios::binary);
  if (!in) refuse("cannot be read", "a file that you may read");
  std::string text(most_bytes + 1, '\0');
  in.read(text.data(), static_cast<std::streamsize>(text.size()));
  text.resize(static_cast<std::size_t>(in.gcount()));
  return text;
}

}  // namespace quern
