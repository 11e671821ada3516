#include "io/read_machine.hpp"

#include <charconv>
#include <fmt/format.h>

#include "base/quote.hpp"

namespace quern {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t most_elements = 2000;

/// Runs `read` on the table `key` of the project or of the file that the key names.
template <class Read>
FieldLines here_or_in_file(TableReader& top, const std::string& key, const fs::path& folder, FaultLog& log,
                           const Read& read) {
  if (!top.is_text(key)) {
    if (auto t = top.table(key)) {
      read(*t);
      t->finish();
    } else if (!top.has(key)) {
      top.fault(key, "missing", fmt::format("a table [{}], or {} = \"file.toml\"", key, key));
    }
    return {top.file(), top.line_of(key), nullptr};
  }
  const std::string path = (folder / top.text(key).value_or("")).lexically_normal().string();
  const std::string name = shown(path, 300);
  try {
    const auto root = std::make_shared<const toml::table>(parse_toml(read_text_file(path), name));
    TableReader file(*root, name, "", log);
    (void)file.text("format"), (void)file.text("title"), (void)file.text("note");
    if (file.is_text(key)) {
      file.fault(key, fmt::format("names another file, and was itself named by {}", top.file()),
                 fmt::format("the table [{}] itself: one file may name another, no further", key));
    } else if (auto t = file.table(key)) {
      read(*t);
      t->finish();
    } else if (!file.has(key)) {
      file.fault(key, fmt::format("no table [{}], which {} looks for here", key, top.file()),
                 fmt::format("a table [{}]", key));
    }
    return {name, file.line_of(key), root};
  } catch (const InputError& error) {
    for (Fault fault : error.faults()) {
      if (fault.file == name && fault.line == 0)
        fault.right += fmt::format(" (named by {}:{})", top.file(), top.line_of(key));
      log.add(fault);
    }
    return {name, 0, nullptr};
  }
}

void read_drive(TableReader& parent, Drive& d) {
  auto t = parent.table("drive");
  if (!t) {
    if (!parent.has("drive")) parent.fault("drive", "missing", "a table [machine.drive]");
    return;
  }
  d.power_max = t->required("power_max", Kind::power, {1, 1e8}, 1e4),
  d.speed_max = t->required("speed_max", Kind::screw_speed, {1e-3, 100}, 10);
  d.torque_max = t->required("torque_max", Kind::torque, {1e-3, 1e7}, 100),
  d.efficiency = t->quantity("efficiency", Kind::ratio, {0.05, 1}).value_or(d.efficiency);
  d.idle_power = t->quantity("idle_power", Kind::power, {0, 1e8}).value_or(0),
  d.idle_speed = t->quantity("idle_speed", Kind::screw_speed, {0, 100, true}).value_or(d.idle_speed);
  t->finish();
}

/// "ethylene glycol 40 %" or "water".
std::optional<double> glycol_share(const std::string& text) {
  constexpr std::string_view stem = "ethylene glycol ";
  if (text == "water") return 0;
  if (!text.starts_with(stem)) return std::nullopt;
  double si = 0;
  if (text.find('%') == std::string::npos ||
      parse_quantity(std::string_view(text).substr(stem.size()), Kind::ratio, si))
    return std::nullopt;
  return si >= 0 && si <= 0.5 ? std::optional(si) : std::nullopt;
}

void read_chiller(TableReader& parent, Machine& machine) {
  auto t = parent.table("chiller");
  if (!t) return;
  Chiller c;
  const std::string coolant = t->required_text("coolant");
  if (const auto glycol = glycol_share(coolant)) c.glycol = *glycol;
  else if (!coolant.empty())
    t->fault("coolant", quote(coolant) + " is no coolant of this program",
             "\"water\" or \"ethylene glycol 40 %\", by mass, at most 50 %");
  if (!t->has("capacity"))
    t->fault("capacity", "missing", "capacity = [[\"-10 degC\", \"3.4 kW\"], [\"10 degC\", \"7 kW\"]]");
  c.capacity = t->pairs("capacity", Kind::temperature, Kind::power);
  for (std::size_t i = 0; i < c.capacity.size(); ++i) {
    if (c.capacity[i].second < 0)
      t->fault("capacity", fmt::format("point {} removes less than nothing", i + 1), "powers of 0 or more");
    if (i > 0 && !(c.capacity[i].first > c.capacity[i - 1].first))
      t->fault("capacity", fmt::format("temperature does not rise at point {}", i + 1),
               "points in the order of rising temperature");
  }
  c.flow = t->quantity("flow", Kind::volume_flow, {0, 1, true});
  t->finish();
  machine.chiller = std::move(c);
}

void read_zones(TableReader& parent, Machine& machine) {
  std::vector<TableReader> tables = parent.tables("zone");
  if (tables.empty() && !parent.has("zone"))
    parent.fault("zone", "missing", "[[machine.zone]] for every zone, from feed to die");
  if (tables.size() > 200) {
    parent.fault("zone", fmt::format("{} zones", tables.size()), "at most 200");
    return;
  }
  for (TableReader& t : tables) {
    Zone zone;
    zone.line = t.line();
    zone.name = t.required_text("name");
    for (const Zone& other : machine.zones)
      if (other.name == zone.name)
        t.fault("name", quote(zone.name) + " is the name of another zone", "a name of its own for every zone");
    zone.length = t.required("length", Kind::length, {1e-3, 100}, 0.1);
    constexpr Port ports[] = {Port::none, Port::feed, Port::vent, Port::side_feed};
    zone.port = ports[t.choice("port", {"none", "feed", "vent", "side feed"}).value_or(0)];
    constexpr Cooling coolings[] = {Cooling::none, Cooling::water, Cooling::chiller};
    zone.cooling = coolings[t.choice("cooling", {"none", "water", "chiller"}).value_or(0)];
    zone.heating = t.quantity("heating", Kind::power, {0, 1e7});
    zone.cooling_power = t.quantity("cooling_power", Kind::power, {0, 1e7});
    t.finish();
    machine.zones.push_back(std::move(zone));
  }
}

void read_die(TableReader& parent, Machine& machine) {
  auto t = parent.table("die");
  if (!t) return;
  Die d;
  const auto kind = t->choice("kind", {"strand", "slit", "annulus", "curve"});
  if (!kind) {
    if (!t->has("kind")) t->fault("kind", "missing", "kind = \"strand\", \"slit\", \"annulus\" or \"curve\"");
    return;
  }
  d.kind = static_cast<Die::Kind>(*kind);
  d.count = t->whole("count", 1, 10000).value_or(1);
  d.temperature = t->quantity("temperature", Kind::temperature, {173.15, 773.15}).value_or(0);
  if (d.kind == Die::Kind::curve) {
    if (!t->has("curve")) t->fault("curve", "missing", "curve = [[\"0 kg/h\", \"0 bar\"], [\"10 kg/h\", \"30 bar\"]]");
    d.curve = t->pairs("curve", Kind::mass_flow, Kind::pressure);
  } else {
    d.land = t->required("land", Kind::length, {1e-5, 10}, 0.01);
  }
  if (d.kind == Die::Kind::strand || d.kind == Die::Kind::annulus)
    d.diameter = t->required("diameter", Kind::length, {1e-5, 5}, 0.003);
  if (d.kind == Die::Kind::annulus) d.core = t->required("core", Kind::length, {1e-6, 5}, 0.001);
  if (d.kind == Die::Kind::slit)
    d.width = t->required("width", Kind::length, {1e-5, 20}, 0.1),
    d.height = t->required("height", Kind::length, {1e-6, 1}, 0.002);
  t->finish();
  machine.die = std::move(d);
}

std::optional<Characteristics> read_characteristics(TableReader& parent) {
  auto t = parent.table("characteristics");
  if (!t) return std::nullopt;
  Characteristics c;
  c.A1 = t->required("A1", Kind::ratio, {-100, 100}, 0.3), c.B = t->required("B", Kind::ratio, {1e-12, 100}, 1e-4);
  c.P0 = t->required("P0", Kind::ratio, {0, 1e9}, 1000), c.P1 = t->required("P1", Kind::ratio, {-1e9, 1e9}, 1000);
  t->finish();
  return c;
}

Element read_element(TableReader& t, int starts) {
  Element e;
  e.line = t.line();
  const auto kind = t.choice("kind", {"conveying", "kneading", "spacer ring", "blister ring"});
  if (!kind && !t.has("kind"))
    t.fault("kind", "missing", "kind = \"conveying\", \"kneading\", \"spacer ring\" or \"blister ring\"");
  e.kind = static_cast<ElementKind>(kind.value_or(0));
  e.hand = static_cast<Hand>(t.choice("hand", {"forward", "neutral", "reverse"}).value_or(0));
  e.starts = t.whole("starts", 1, 4).value_or(starts);
  e.length = t.required("length", Kind::length, {1e-4, 100}, 0.03);
  e.lead = t.quantity("lead", Kind::length, {1e-4, 100}).value_or(0);
  e.discs = t.whole("discs", 1, 1000).value_or(0);
  e.stagger = t.quantity("stagger", Kind::angle, {1e-3, 6.2831853}).value_or(0);
  e.clearance = t.quantity("clearance", Kind::length, {0, 1}).value_or(0);
  if (kind && e.kind == ElementKind::conveying && !t.has("lead"))
    t.fault("lead", "missing", "lead = \"30 mm\": the advance of a flight in one turn");
  if (kind && e.kind == ElementKind::kneading && !t.has("discs")) t.fault("discs", "missing", "discs = 5");
  if (kind && e.kind == ElementKind::kneading && !t.has("stagger"))
    t.fault("stagger", "missing", "stagger = \"45 deg\"");
  e.characteristics = read_characteristics(t);
  return e;
}

}  // namespace

FieldLines read_machine(TableReader& top, const fs::path& folder, Machine& machine, FaultLog& log) {
  return here_or_in_file(top, "machine", folder, log, [&](TableReader& t) {
    const Range size{1e-3, 5};
    machine.name = t.text("name").value_or("");
    Section& s = machine.section;
    s.barrel_bore = t.required("barrel_bore", Kind::length, size, 0.03),
    s.screw_diameter = t.required("screw_diameter", Kind::length, size, 0.0298);
    s.centre_distance = t.required("centre_distance", Kind::length, size, 0.0246),
    s.starts = t.whole("starts", 1, 4).value_or(2);
    s.screw_gap = t.required("screw_gap", Kind::length, {0, 1}, 2e-4);
    machine.shaft_length = t.required("shaft_length", Kind::length, {1e-2, 100}, 1);
    machine.pressure_max = t.required("pressure_max", Kind::pressure, {1, 1e10}, 1e7);
    read_drive(t, machine.drive);
    read_chiller(t, machine);
    read_zones(t, machine);
    read_die(t, machine);
  });
}

FieldLines read_screw(TableReader& top, const fs::path& folder, int starts, Screw& screw, FaultLog& log) {
  return here_or_in_file(top, "screw", folder, log, [&](TableReader& t) {
    screw.name = t.text("name").value_or("");
    if (!t.has("element")) t.fault("element", "missing", "[[screw.element]] for every element, from feed to tip");
    for (TableReader& item : t.tables("element")) {
      const Element element = read_element(item, starts);
      const int repeat = item.whole("repeat", 1, 200).value_or(1);
      item.finish();
      screw.elements.insert(screw.elements.end(), static_cast<std::size_t>(repeat), element);
      if (screw.elements.size() > most_elements) {
        item.fault("", fmt::format("more than {} elements with all repeats", most_elements),
                   "a screw of at most 2000 elements");
        return;
      }
    }
  });
}

}  // namespace quern
