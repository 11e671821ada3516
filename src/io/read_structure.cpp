#include "io/read_structure.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "base/quote.hpp"
#include "geometry/port_opening.hpp"

namespace quern {
namespace {

/// A quantity that is another one, but for the end of its unit: "60 kg/mol" as the mass "60 kg" of a mole.
struct Composed {
  Kind kind;
  std::string_view typed, read;  ///< the end of the unit as typed, and as the kind has it
  std::string_view name, example;
};
constexpr Composed molar_mass{Kind::mass, "/mol", "", "molar mass", "60 kg/mol"};
constexpr Composed tension{Kind::pressure, "/m", "/m2", "interfacial tension", "5 mN/m"};

std::optional<double> composed(TableReader& t, std::string_view key, const Composed& what, double lowest,
                               double highest) {
  const auto typed = t.text(key);
  if (!typed) return std::nullopt;
  double si = 0;
  const std::string right = fmt::format("write {}, for example \"{}\"", what.name, what.example);
  std::string_view text = *typed;
  while (text.ends_with(' ')) text.remove_suffix(1);
  if (!text.ends_with(what.typed)) {
    t.fault(key, fmt::format("{} is no {}", quote(*typed), what.name), right);
    return std::nullopt;
  }
  text.remove_suffix(what.typed.size());
  if (const auto bad = parse_quantity(std::string(text) + std::string(what.read), what.kind, si)) {
    t.fault(key, fmt::format("{} is no {}", quote(*typed), what.name), right);
    return std::nullopt;
  }
  if (si < lowest || si > highest) {
    const std::string_view unit = info(what.kind).si == "kg" ? "kg/mol" : "N/m";
    t.fault(key, fmt::format("{} is out of range", quote(*typed)),
            fmt::format("{:g} {} to {:g} {}", lowest, unit, highest, unit));
    return std::nullopt;
  }
  return si;
}

/// A stream by the name of its material; without a name that of the largest rate. Fillers, or all but fillers.
std::optional<std::size_t> stream_of(TableReader& t, std::string_view key, const StructurePlan& plan,
                                     bool of_filler = false) {
  const auto fits = [&](const StructureStream& s) { return (s.material.state == State::filler) == of_filler; };
  if (const auto name = t.text(key)) {
    std::vector<std::string_view> names;
    for (std::size_t i = 0; i < plan.streams.size(); ++i) {
      if (!fits(plan.streams[i])) continue;
      if (plan.streams[i].material.name == *name) return i;
      names.push_back(plan.streams[i].material.name);
    }
    const std::string_view near = nearest(*name, names);
    t.fault(key, quote(*name) + (of_filler ? " is no filler of the feed" : " is no polymer of the feed"),
            near.empty() ? "the material of a [[feed]]" : fmt::format("did you mean {}?", quote(near)));
    return std::nullopt;
  }
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < plan.streams.size(); ++i)
    if (fits(plan.streams[i]) && (!found || plan.streams[i].rate > plan.streams[*found].rate)) found = i;
  return found;
}

/// Mn, and Mw/Mn from either of the two ways to say it.
void read_averages(TableReader& t, ChainPlan& chains) {
  const auto Mn = composed(t, "Mn", molar_mass, 0.5, 1e4), Mw = composed(t, "Mw", molar_mass, 0.5, 1e5);
  const auto dispersity = t.quantity("dispersity", Kind::ratio, {1, 50});
  if (!t.has("Mn")) t.fault("Mn", "missing", "Mn = \"60 kg/mol\", number average molar mass as fed");
  if (t.has("Mw") == t.has("dispersity"))
    t.fault("Mw", t.has("Mw") ? "given beside dispersity" : "missing", "either Mw = \"300 kg/mol\" or dispersity = 5");
  if (!Mn) return;
  chains.Mn = *Mn;
  if (dispersity) chains.dispersity = *dispersity;
  if (!Mw) return;
  chains.dispersity = *Mw / *Mn;
  if (*Mw < *Mn || *Mw > 50 * *Mn)
    t.fault("Mw", fmt::format("{:g} kg/mol with an Mn of {:g} kg/mol", *Mw, *Mn), "Mn to 50 Mn");
}

void read_peroxide(TableReader& t, bool is_polypropylene, ChainPlan& chains) {
  constexpr double usual = 0.29045;  // kg/mol: 2,5-dimethyl-2,5-di(tert-butylperoxy)hexane, as in structure/peroxide
  const auto share = t.quantity("peroxide", Kind::ratio, {0, 0.05});
  const double molar = composed(t, "peroxide_molar_mass", molar_mass, 0.03, 10).value_or(usual);
  if (!share) return;
  if (*share > 0 && !is_polypropylene)
    t.fault("peroxide", "breaks the chains of polypropylene only", "leave it out for other polymers");
  chains.peroxide = *share / molar;
}

std::optional<ChainPlan> read_chains(TableReader& structure, const StructurePlan& plan) {
  auto t = structure.table("chains");
  if (!t) return std::nullopt;
  ChainPlan chains;
  const auto stream = stream_of(*t, "material", plan);
  const bool is_polypropylene = stream && plan.streams[*stream].material.family == "polypropylene";
  if (stream) chains.stream = *stream;
  read_averages(*t, chains);
  const auto repeat = composed(*t, "repeat_unit", molar_mass, 0.01, 2);
  const auto critical = composed(*t, "critical_molar_mass", molar_mass, 0.5, 500);
  if (stream && !is_polypropylene && !(t->has("repeat_unit") && t->has("critical_molar_mass")))
    t->fault("repeat_unit", "missing", "repeat_unit and critical_molar_mass: only those of polypropylene are known");
  chains.chains.repeat = repeat.value_or(chains.chains.repeat);
  chains.chains.critical = critical.value_or(chains.chains.critical);
  if (chains.Mn > 0 && chains.Mn <= 3 * chains.chains.repeat)
    t->fault("Mn", "less than three repeat units", "the number average of a polymer");
  chains.nitrogen = t->choice("atmosphere", {"air", "nitrogen"}).value_or(0) == 1;
  read_peroxide(*t, is_polypropylene, chains);
  t->finish();
  return chains;
}

std::optional<BlendPlan> read_blend(TableReader& structure, const StructurePlan& plan) {
  auto t = structure.table("blend");
  if (!t) return std::nullopt;
  BlendPlan blend;
  if (!t->has("dispersed")) t->fault("dispersed", "missing", "dispersed = \"...\", the material that forms the drops");
  if (const auto stream = stream_of(*t, "dispersed", plan)) {
    blend.stream = *stream;
    blend.start = plan.streams[*stream].size;
  }
  blend.start = t->quantity("start_size", Kind::length, {1e-7, 0.05}).value_or(blend.start);
  blend.tension = composed(*t, "interfacial_tension", tension, 1e-5, 0.1);
  t->finish();
  return blend;
}

std::optional<std::size_t> filler_of(TableReader& t, const StructurePlan& plan) {
  const auto stream = stream_of(t, "material", plan, true);
  if (!stream && !t.has("material")) t.fault("", "no filler is fed", "a [[feed]] whose material is a filler");
  return stream;
}

std::optional<FillerPlan> read_filler(TableReader& structure, const StructurePlan& plan) {
  auto t = structure.table("filler");
  if (!t) return std::nullopt;
  FillerPlan filler;
  filler.stream = filler_of(*t, plan).value_or(0);
  filler.size = t->required("agglomerate_size", Kind::length, {1e-7, 0.05});
  filler.spread = t->quantity("agglomerate_spread", Kind::ratio, {1, 10}).value_or(1);
  t->finish();
  return filler;
}

std::optional<PlateletPlan> read_platelets(TableReader& structure, const StructurePlan& plan) {
  auto t = structure.table("platelets");
  if (!t) return std::nullopt;
  PlateletPlan platelets;
  platelets.stream = filler_of(*t, plan).value_or(0);
  platelets.stack = t->required("stack", Kind::ratio, {1, 1e5});
  t->finish();
  return platelets;
}

std::optional<Volatile> read_substance(TableReader& t) {
  const auto name = t.text("name"), polymer = t.text("polymer");
  if (!t.has("name")) t.fault("name", "missing", "name = \"water\"");
  if (!name) return std::nullopt;
  std::string known;
  for (const Volatile& v : volatiles()) {
    if (v.name == *name && (!polymer || v.polymer == *polymer)) return v;
    known += fmt::format("{}{} in {}", known.empty() ? "" : ", ", v.name, v.polymer);
  }
  t.fault("name", quote(polymer ? *name + " in " + *polymer : *name) + " is not known", "one of: " + known);
  return std::nullopt;
}

/// Ports over the melt: zones with a vent or a side feed.
std::vector<Vent> read_vents(TableReader& t, const Trial& trial) {
  std::vector<Vent> vents;
  auto pressures = t.table("vent_pressure");
  const double share = t.quantity("vapour_share", Kind::ratio, {0, 1}).value_or(1);
  const auto& zones = trial.machine.zones;
  for (const PortOpening& opening : port_openings(zones, trial.machine.section.screw_diameter)) {
    if (opening.port == Port::feed) continue;
    Vent vent{.position = 0.5 * (opening.place.from + opening.place.to), .vapour_share = share};
    if (pressures)
      vent.pressure = pressures->quantity(zones[opening.zone].name, Kind::pressure, {10, 1e7}).value_or(vent.pressure);
    vents.push_back(vent);
  }
  if (pressures) pressures->finish();
  return vents;
}

std::optional<VolatilePlan> read_volatile(TableReader& structure, const Trial& trial) {
  auto t = structure.table("volatile");
  if (!t) return std::nullopt;
  VolatilePlan plan;
  if (const auto substance = read_substance(*t)) plan.substance = *substance;
  plan.content = t->required("content", Kind::ratio, {0, 0.5}, 0);
  plan.vents = read_vents(*t, trial);
  t->finish();
  return plan;
}

}  // namespace

StructurePlan read_structure(TableReader& top, const Trial& trial) {
  StructurePlan plan;
  for (const Feed& f : trial.feeds)
    plan.streams.push_back({f.material, f.rate, f.size.value_or(f.material.solid.size)});
  const double flights = trial.machine.section.starts * trial.screw_speed;
  if (flights > 0) plan.renewal_time = 1 / flights;
  auto t = top.table("structure");
  if (!t) return plan;
  plan.parcels = t->whole("parcels", 100, 100000).value_or(plan.parcels);
  plan.seed = static_cast<std::uint64_t>(t->whole("seed", 0, 2147483647).value_or(1));
  plan.chains = read_chains(*t, plan);
  plan.blend = read_blend(*t, plan);
  plan.filler = read_filler(*t, plan);
  plan.platelets = read_platelets(*t, plan);
  plan.volatiles = read_volatile(*t, trial);
  t->finish();
  return plan;
}

}  // namespace quern
