#include "io/read_trial.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "base/quote.hpp"
#include "io/input_id.hpp"
#include "io/material_library.hpp"
#include "io/read_machine.hpp"
#include "io/read_material.hpp"
#include "io/read_structure.hpp"
#include "machine/solve.hpp"

namespace quern {
namespace {

namespace fs = std::filesystem;

/// The project's text and those of the files it names.
std::string input_id(std::string_view text, TableReader& top, const fs::path& folder) {
  InputId id;
  id.add(text);
  std::vector<std::string> files = top.texts("materials");
  for (const char* key : {"machine", "screw"})
    if (top.is_text(key)) files.push_back(*top.text(key));
  for (const std::string& file : files) id.add(read_text_file((folder / file).string()));
  return id.str();
}

/// What the text is for, and that this program is not too old for it.
void check_format(TableReader& top, std::string_view stem, int newest) {
  const auto format = top.text("format");
  const std::string want = fmt::format("format = \"{}/{}\"", stem, newest);
  if (!format) {
    if (!top.has("format")) top.fault("format", "missing", want);
    return;
  }
  const std::string prefix = std::string(stem) + "/";
  if (*format == prefix + std::to_string(newest)) return;
  const std::string_view number = std::string_view(*format).substr(std::min(prefix.size(), format->size()));
  const bool is_numbered = format->starts_with(prefix) && !number.empty() && number.front() != '0' &&
                           number.find_first_not_of("0123456789") == std::string_view::npos;
  top.fault("format",
            quote(*format) + (is_numbered ? fmt::format(" was written for a newer version of this program, which reads "
                                                        "up to {}/{}",
                                                        stem, newest)
                                          : std::string(" is not a project format")),
            want);
}

/// Own materials: [material.*] tables, then files named in `materials`, then the library.
class Materials {
 public:
  Materials(TableReader& top, const fs::path& folder, FaultLog& log) {
    if (auto own = top.table("material")) {
      const std::vector<std::string> names = own->names();
      if (names.size() > most) own->fault("", fmt::format("{} materials", names.size()), most_text());
      else
        for (const std::string& name : names)
          if (auto t = own->table(name)) own_.push_back(read_material(*t, name, "project file"));
    }
    const std::vector<std::string> files = top.texts("materials");
    if (files.size() > most_files)
      top.fault("materials", fmt::format("{} files", files.size()), fmt::format("at most {} files", most_files));
    else
      for (const std::string& file : files) read_file(top, (folder / file).lexically_normal().string(), file, log);
  }
  const Material* find(std::string_view name) const {
    const Material* own = find_own(name);
    return own != nullptr ? own : library_material(name);
  }
  std::string nearest_to(std::string_view name) const {
    std::vector<std::string_view> names;
    for (const Material& m : own_) names.push_back(m.name);
    for (const Material& m : material_library()) names.push_back(m.name);
    return std::string(nearest(name, names));
  }

 private:
  static constexpr std::size_t most = 200, most_files = 20;
  static std::string most_text() { return fmt::format("at most {} materials", most); }

  const Material* find_own(std::string_view name) const {
    const auto found = std::ranges::find(own_, name, &Material::name);
    return found == own_.end() ? nullptr : &*found;
  }
  void read_file(TableReader& top, const std::string& path, const std::string& typed, FaultLog& log) {
    try {
      for (Material& m : read_materials(read_text_file(path), shown(path, 300), "file " + shown(typed, 300))) {
        if (find_own(m.name) != nullptr)
          top.fault("materials",
                    fmt::format("{} of {} has the name of another own material", quote(m.name), quote(typed)),
                    "a name of its own for every material");
        else if (own_.size() >= most) return top.fault("materials", "too many materials", most_text());
        else own_.push_back(std::move(m));
      }
    } catch (const InputError& error) {
      for (Fault fault : error.faults()) {
        if (fault.line == 0) fault.right += fmt::format(" (named by {}:{})", top.file(), top.line_of("materials"));
        log.add(fault);
      }
    }
  }

  std::vector<Material> own_{};
};

void read_feeds(TableReader& top, const Materials& materials, Trial& trial) {
  if (!top.has("feed")) top.fault("feed", "missing", "at least one [[feed]] with material, rate and temperature");
  std::vector<TableReader> tables = top.tables("feed");
  constexpr std::size_t most = 50;
  if (tables.size() > most) return top.fault("feed", fmt::format("{} streams", tables.size()), "at most 50 streams");
  for (TableReader& t : tables) {
    Feed feed;
    const std::string name = t.required_text("material");
    if (const Material* m = materials.find(name)) feed.material = *m;
    else if (!name.empty()) {
      const std::string near = materials.nearest_to(name);
      t.fault("material", quote(name) + " is neither a [material.*] table nor in the library",
              near.empty() ? "`quern materials` lists the library"
                           : fmt::format("did you mean {}? `quern materials` lists the library", quote(near)));
    }
    feed.rate = t.required("rate", Kind::mass_flow, {1e-9, 1e3}, 1e-3);
    feed.temperature = t.required("temperature", Kind::temperature, {173.15, 773.15}, 293.15);
    feed.size = t.quantity("size", Kind::length, {1e-9, 0.1});
    feed.bulk_density = t.quantity("bulk_density", Kind::density, {1, 25000});
    feed.form = t.text("form").value_or("");
    t.finish();
    trial.feeds.push_back(std::move(feed));
  }
}

void read_settings(TableReader& top, Trial& trial) {
  auto t = top.table("settings");
  if (!t) {
    if (!top.has("settings"))
      top.fault("settings", "missing", "a [settings] table with screw_speed, and [settings.zone_temperature]");
    return;
  }
  trial.screw_speed = t->required("screw_speed", Kind::screw_speed, {1e-4, 100}, 1);
  auto zones = t->table("zone_temperature");
  if (!zones && !t->has("zone_temperature"))
    t->fault("zone_temperature", "missing", "a [settings.zone_temperature] table with a set point for every zone");
  for (const Zone& zone : trial.machine.zones)
    trial.zone_temperature.push_back(zones ? zones->required(zone.name, Kind::temperature, {173.15, 773.15}, 300)
                                           : 300);
  if (zones) zones->finish();
  t->finish();
}

void read_take_off(TableReader& top, Trial& trial) {
  auto t = top.table("take_off");
  if (!t) return;
  TakeOff take_off;
  take_off.trough_length = t->required("trough_length", Kind::length, {1e-3, 1000}, 1);
  take_off.water_temperature = t->required("water_temperature", Kind::temperature, {273.15, 373.15}, 293.15);
  take_off.strand_diameter = t->quantity("strand_diameter", Kind::length, {1e-5, 0.1});
  t->finish();
  trial.take_off = take_off;
}

void read_closures(TableReader& top, Project& project) {
  auto t = top.table("closures");
  if (!t) return;
  for (const ClosureInfo& c : closure_list())
    if (const auto value = t->quantity(c.name, c.kind, {c.lowest, c.highest}))
      project.trial.closures.fix(c.closure, *value);
  for (const Coefficient& c : all_coefficients())
    if (const auto value = t->quantity(c.name, c.kind, {c.lowest, c.highest})) project.coefficients.fix(c.name, *value);
  if (const auto name = t->text("calibration"))
    t->fault("calibration",
             fmt::format("no calibration {} is known: fitted sets are not part of this version", quote(*name)),
             "fix closures one by one in [closures]");
  t->finish();
}

void read_numerics(TableReader& top, Trial& trial) {
  auto t = top.table("numerics");
  if (!t) return;
  trial.numerics.cells = t->whole("cells", 20, 50000).value_or(trial.numerics.cells);
  trial.numerics.iterations = t->whole("iterations", 5, 10000).value_or(trial.numerics.iterations);
  trial.numerics.tolerance = t->quantity("tolerance", Kind::ratio, {1e-12, 1e-2}).value_or(trial.numerics.tolerance);
  trial.numerics.estimate_elements = t->choice("elements", {"solved", "estimated"}).value_or(0) == 1;
  t->finish();
}

}  // namespace

Project read_project_text(std::string_view text, const std::string& name, const fs::path& folder) {
  const toml::table root = parse_toml(text, name);
  FaultLog log;
  TableReader top(root, name, "", log);
  check_format(top, "quern", 1);
  log.throw_if_any();  // what another version means by its fields cannot be judged
  Project project;
  Trial& trial = project.trial;
  trial.title = top.text("title").value_or("");
  trial.mode = top.text("mode").value_or("");
  (void)top.text("note");
  const FieldLines machine_lines = read_machine(top, folder, trial.machine, log);
  const FieldLines screw_lines = read_screw(top, folder, trial.machine.section.starts, trial.screw, log);
  const Materials materials(top, folder, log);
  read_feeds(top, materials, trial);
  read_settings(top, trial);
  read_take_off(top, trial);
  project.structure = read_structure(top, trial);
  read_closures(top, project);
  read_numerics(top, trial);
  top.finish();
  log.throw_if_any();

  trial.input_id = input_id(text, top, folder);

  // each field may be fine and the whole still not go together
  const auto placed = [&](Fault fault) {
    const FieldLines here{name, 0, nullptr};
    const FieldLines& source = fault.field.starts_with("screw")     ? screw_lines
                               : fault.field.starts_with("machine") ? machine_lines
                                                                    : here;
    fault.file = source.file;
    if (fault.line == 0) fault.line = line_of_path(source.root ? *source.root : root, fault.field);
    log.add(fault);
  };
  for (const Fault& fault :
       build_faults(trial.machine.section, trial.machine.shaft_length, trial.machine.zones, trial.screw))
    placed(fault);
  for (const Fault& fault : check_trial(trial)) placed(fault);
  log.throw_if_any();
  return project;
}

Project read_project(const std::string& path) {
  return read_project_text(read_text_file(path), shown(path, 300), fs::path(path).parent_path());
}

Trial read_trial_text(std::string_view text, const std::string& name, const fs::path& folder) {
  return read_project_text(text, name, folder).trial;
}

Trial read_trial(const std::string& path) { return read_project(path).trial; }

}  // namespace quern
