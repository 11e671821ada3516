#include "io/toml_table.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "base/quote.hpp"

namespace quern {
namespace {

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

/// `less` than the lowest, in the unit that was typed.
std::string out_of_range(double si, Range range, Kind kind, std::string_view unit) {
  if (si > range.highest) return "more than " + show(range.highest, kind, unit);
  const bool is_zero_nearer = si <= 0 && range.lowest >= 0 && kind != Kind::temperature;
  if (is_zero_nearer && (range.above_lowest || range.lowest > 0)) return "not more than 0";
  return (range.above_lowest ? "not more than " : "less than ") + show(range.lowest, kind, unit);
}

std::string accepted(Range range, Kind kind, std::string_view unit) {
  const KindInfo& k = info(kind);
  const bool has_top = range.highest < 1e200;
  if (!has_top || (range.lowest <= 0 && range.above_lowest && range.highest > 1e3))
    return fmt::format("write {} {}, for example \"{}\"", k.name.starts_with('a') ? "an" : "a", k.name, k.example);
  return fmt::format("{} {} to {}", range.above_lowest ? "above" : "from", show(range.lowest, kind, unit),
                     show(range.highest, kind, unit));
}

/// A key as the file would have it: in quotation marks unless it is a bare word.
std::string key_text(std::string_view key) {
  const bool is_bare = !key.empty() && std::ranges::all_of(key, [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) || c == '_' || c == '-';
  });
  return is_bare ? shown(key, 40) : quote(key, 40);
}

/// As many words as a reader looks through.
std::string some_of(std::vector<std::string_view> words) {
  constexpr std::size_t most = 20;
  std::ranges::sort(words);
  std::string list;
  for (std::size_t i = 0; i < std::min(words.size(), most); ++i) list += (i > 0 ? ", " : "") + shown(words[i], 40);
  return words.size() > most ? list + ", ..." : list;
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

bool FaultLog::full() const { return faults_.size() >= most_faults; }

TableReader::TableReader(const toml::table& table, std::string file, std::string path, FaultLog& log)
    : table_(&table), file_(std::move(file)), path_(std::move(path)), log_(&log) {}

std::string TableReader::field(std::string_view key) const {
  const std::string name = key_text(key);
  return path_.empty() ? name : path_ + '.' + name;
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
  known_.emplace(key);
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
  double si = 0;
  std::string typed;
  std::string_view unit = info(kind).si;
  if (const auto* text = node.as_string()) {
    typed = quote(text->get());
    if (const auto bad = parse_quantity(text->get(), kind, si)) return refuse(bad->wrong, bad->right);
    unit = unit_in(text->get(), kind);
  } else if (node.is_number()) {
    si = node.is_integer() ? static_cast<double>(node.as_integer()->get()) : node.as_floating_point()->get();
    typed = fmt::format("{:g}", si);
    if (kind != Kind::ratio) return refuse(fmt::format("\"{}\" has no unit", typed), accepted({}, kind, unit));
    if (!std::isfinite(si)) return refuse(typed + " is not a finite number", accepted({}, kind, unit));
  } else {
    return refuse(fmt::format("{} where a {} belongs", kind_of(node), info(kind).name), accepted({}, kind, unit));
  }
  if (si < range.lowest || (range.above_lowest && si == range.lowest) || si > range.highest)
    return refuse(fmt::format("{} is {}", typed, out_of_range(si, range, kind, unit)), accepted(range, kind, unit));
  return si;
}

std::optional<double> TableReader::quantity(std::string_view key, Kind kind, Range range) {
  const toml::node* node = take(key);
  return node != nullptr ? read_quantity(*node, field(key), kind, range) : std::nullopt;
}

double TableReader::required(std::string_view key, Kind kind, Range range, double otherwise) {
  const toml::node* node = take(key);
  if (node == nullptr) {
    fault(key, "missing", fmt::format("{} = \"{}\"", key_text(key), info(kind).example));
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
  fault(key, fmt::format("{} is not one of its words", quote(*word)),
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
    known_.emplace(key.str());
    found.emplace_back(line_of_node(node), std::string(key.str()));
  }
  std::ranges::stable_sort(found, {}, &std::pair<int, std::string>::first);
  std::vector<std::string> list;
  for (auto& [line, name] : found) list.push_back(std::move(name));
  return list;
}

void TableReader::finish() {
  const std::vector<std::string_view> known(known_.begin(), known_.end());
  for (const auto& [key, node] : *table_) {
    if (known_.contains(key.str())) continue;
    const std::string_view near = log_->full() ? "" : nearest(key.str(), known);
    fault(key.str(), "no such field",
          near.empty() ? "one of: " + some_of(known) : fmt::format("did you mean {}?", quote(near)));
  }
}

int line_of_path(const toml::table& root, std::string_view field) {
  const toml::node* node = &root;
  int line = 0;
  while (node != nullptr && !field.empty()) {
    if (field.starts_with(".\"")) field.remove_prefix(1);
    const char head = field.front();
    const std::size_t from = head == '.' || head == '[' || head == '"' ? 1 : 0;
    const std::size_t to = std::min(field.find_first_of(head == '['   ? "]"
                                                        : head == '"' ? "\""
                                                                      : ".[",
                                                        from),
                                    field.size());
    const std::string_view step = field.substr(from, to - from);
    std::size_t index = 0;
    for (const char c : step) index = index * 10 + static_cast<std::size_t>(c - '0');
    if (head == '[') node = node->is_array() ? node->as_array()->get(index) : nullptr;
    else if (!step.empty()) node = node->is_table() ? node->as_table()->get(step) : nullptr;
    if (node != nullptr && line_of_node(*node) > 0) line = line_of_node(*node);
    field.remove_prefix(std::min(field.size(), to + (head == '[' || head == '"' ? 1 : 0)));
  }
  return line;
}

}  // namespace quern
