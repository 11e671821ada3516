#pragma once
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <toml++/toml.h>
#include <vector>

#include "base/error.hpp"
#include "base/quantity.hpp"
#include "io/toml_text.hpp"
namespace quern {

/// Every fault of a reading, at most 50; further ones are counted in the last.
class FaultLog {
 public:
  void add(Fault fault);
  bool empty() const { return faults_.empty(); }
  std::size_t size() const { return faults_.size(); }
  bool full() const;  ///< further faults are only counted
  /// @throws InputError when there is any
  void throw_if_any() const;

 private:
  std::vector<Fault> faults_{};
  std::size_t more_ = 0;
};

/// Where a quantity may lie, SI.
struct Range {
  double lowest = -1e300, highest = 1e300;
  bool above_lowest = false;  ///< the lowest itself is refused
};
inline constexpr Range positive{0, 1e300, true};
inline constexpr Range not_negative{0, 1e300, false};

/// A TOML table being read: fields are taken by name, checked, and every fault is collected. A field that is
/// absent or faulty yields nothing; what is required says so itself. `finish` refuses what nobody asked for.
class TableReader {
 public:
  TableReader(const toml::table& table, std::string file, std::string path, FaultLog& log);

  std::optional<double> quantity(std::string_view key, Kind kind, Range range = {});
  double required(std::string_view key, Kind kind, Range range = {}, double otherwise = 1);
  std::optional<std::string> text(std::string_view key);
  std::string required_text(std::string_view key);
  std::optional<int> whole(std::string_view key, int lowest, int highest);
  /// One of the words, by index.
  std::optional<int> choice(std::string_view key, std::vector<std::string_view> words);
  std::optional<TableReader> table(std::string_view key);
  std::vector<TableReader> tables(std::string_view key);  ///< [[array of tables]]
  /// [["a", "b"], ...]: pairs of quantities
  std::vector<std::pair<double, double>> pairs(std::string_view key, Kind first, Kind second);
  std::vector<std::string> texts(std::string_view key);
  /// Keys of the table, in the order of the file, all taken: for tables whose keys are names.
  std::vector<std::string> names();

  bool has(std::string_view key) const { return table_->contains(key); }
  bool is_table(std::string_view key) const { return table_->contains(key) && table_->get(key)->is_table(); }
  bool is_text(std::string_view key) const { return table_->contains(key) && table_->get(key)->is_string(); }
  int line() const { return static_cast<int>(table_->source().begin.line); }
  int line_of(std::string_view key) const;
  const toml::table& raw() const { return *table_; }
  const std::string& path() const { return path_; }
  const std::string& file() const { return file_; }
  std::string field(std::string_view key) const;
  void fault(std::string_view key, std::string wrong, std::string right);
  /// Refuses every key not taken, with the nearest one that would have been.
  void finish();

 private:
  const toml::node* take(std::string_view key);
  std::optional<double> read_quantity(const toml::node& node, const std::string& field, Kind kind, Range range);

  const toml::table* table_;
  std::string file_, path_;
  FaultLog* log_;
  std::set<std::string, std::less<>> known_{};  ///< what was asked for
};

/// The line of a field such as `machine.zone[3].name` or `settings.zone_temperature."hot 1"`, or of the deepest table on
/// the way to it; 0 when not even that is there.
int line_of_path(const toml::table& root, std::string_view field);

}  // namespace quern
