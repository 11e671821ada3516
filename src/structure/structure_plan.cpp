#include "structure/structure_plan.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numeric>

#include "structure/blend_morphology.hpp"
#include "structure/filler_dispersion.hpp"
#include "structure/heat_history.hpp"
#include "structure/particle_size.hpp"
#include "structure/peroxide.hpp"
#include "structure/platelets.hpp"
#include "structure/structure_run.hpp"

namespace quern {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t most_of_slow_models =
    500;  // parcels; their times and energies are drawn alike, so these are a sample

// Particle size

double solid_share(const Particles& p) { return total(p.solid); }
double size_of(const PerSize& mass, double share) { return total(mass) > 1e-9 ? quantile(mass, share) : nan; }

PerSize together(const std::vector<Particles>& parcels, PerSize Particles::* part) {
  PerSize sum{};
  for (const Particles& p : parcels)
    for (int i = 0; i < size_classes; ++i) sum[static_cast<std::size_t>(i)] += (p.*part)[static_cast<std::size_t>(i)];
  return sum;
}

double lost(const std::vector<Particles>& parcels) {
  double most = 0;
  for (const Particles& p : parcels) most = std::max(most, std::fabs(total(p.solid) + total(p.molten) - 1));
  return most;
}

void particle_size(const StructureTask& task) {
  constexpr std::string_view name = "particle_size";
  const auto stream =
      largest_stream(task.plan, [](const StructureStream& s) { return s.material.state == State::melting; });
  if (!stream) return task.leave_out(name, "no stream is fed as granules");
  const auto is_solid = [](const Exposure& e) { return e.melt_fraction < 1 && e.energy > 0; };
  if (!std::ranges::any_of(task.mean, is_solid)) return task.leave_out(name, "no station works on granules");
  const StructureStream& fed = task.plan.streams[*stream];
  Solid solid = fed.material.solid;
  solid.size = fed.size;
  const ParticleModel model = particle_model(fed.material, task.coefficients);
  const Particles inlet = granules(solid);
  const auto lived = live_through(
      task, inlet, [&](const Particles& p, const Exposure& e) { return advance(p, e, model); }, most_of_slow_models);
  StructureModel m{.name = name, .title = "Size of solid particles", .of = fed.material.name};
  m.figures = figures_of<Particles>(inlet, lived,
                                    {{{"median_size", "median size of what is solid", "m", "mm", 1e-3, true},
                                      [](const Particles& p) { return size_of(p.solid, 0.5); }},
                                     {{"d10", "10 % by mass is finer", "m", "mm", 1e-3, true},
                                      [](const Particles& p) { return size_of(p.solid, 0.1); }},
                                     {{"d90", "90 % by mass is finer", "m", "mm", 1e-3, true},
                                      [](const Particles& p) { return size_of(p.solid, 0.9); }},
                                     {{"melted_size", "median size as it melted", "m", "mm", 1e-3, true},
                                      [](const Particles& p) { return size_of(p.molten, 0.5); }},
                                     {{"solid_share", "still solid", "1", "%", 0.01, false}, solid_share}});
  const PerSize product = together(lived.ends, &Particles::solid), melted = together(lived.ends, &Particles::molten);
  m.figures.front().inlet = fed.size;  // not of its class
  for (StructureFigure& f : m.figures) {
    const double share = f.name == "d10" ? 0.1 : f.name == "d90" ? 0.9 : 0.5;
    const double size = size_of(f.name == "melted_size" ? melted : product, share);
    if (f.name != "solid_share" && std::isfinite(size)) f.blended = size;
  }
  m.parcels = lived.ends.size(), m.balance = std::max(lost(lived.ends), lost(lived.along));
  m.coefficients = task.used({particle_size_coefficients()});
  task.result.models.push_back(std::move(m));
}

// Chains

void chains(const StructureTask& task) {
  constexpr std::string_view name = "chains";
  if (!task.plan.chains) return task.leave_out(name, "no molar mass is given in [structure.chains]");
  const ChainPlan& plan = *task.plan.chains;
  ScissionConstants constants = scission_constants(task.coefficients, plan.chains);
  if (plan.nitrogen) constants.heat.oxidative_rate = 0;
  const ChainGrid grid{.lowest = plan.chains.repeat};
  const ChainAverageState inlet{averages(log_normal_chains(grid, plan.Mn, plan.dispersity)), plan.peroxide};
  const auto lived = live_through(
      task, inlet, [&](const ChainAverageState& s, const Exposure& e) { return advance(s, e, constants); },
      task.parcels.count);
  StructureModel m{.name = name, .title = "Chains: molar mass", .of = task.plan.streams[plan.stream].material.name};
  using S = ChainAverageState;
  m.figures =
      figures_of<S>(inlet, lived,
                    {{{"Mw", "mass average molar mass", "kg/mol", "kg/mol"}, [](const S& s) { return s.chains.Mw; }},
                     {{"Mn", "number average molar mass", "kg/mol", "kg/mol"}, [](const S& s) { return s.chains.Mn; }},
                     {{"dispersity", "Mw/Mn", "1", "1"}, [](const S& s) { return s.chains.dispersity(); }}});
  if (plan.peroxide > 0) {
    auto more = figures_of<S>(
        inlet, lived,
        {{{"peroxide", "peroxide left", "mol/kg", "mmol/kg", 1e-3}, [](const S& s) { return s.peroxide; }}});
    m.figures.push_back(std::move(more.front()));
  }
  m.parcels = lived.ends.size();
  m.coefficients = task.used({chain_scission_coefficients(), heat_scission_coefficients()});
  if (plan.nitrogen)
    std::erase_if(m.coefficients,
                  [](const UsedCoefficient& c) { return c.coefficient->name.starts_with("oxidation"); });
  if (plan.peroxide > 0) std::ranges::copy(task.used({peroxide_coefficients()}), std::back_inserter(m.coefficients));
  m.notes.push_back("The line's viscosity does not follow the molar mass: what a thinner melt changes is not in this.");
  task.result.models.push_back(std::move(m));
}

// Volatile

void volatile_content(const StructureTask& task) {
  constexpr std::string_view name = "volatile";
  if (!task.plan.volatiles) return task.leave_out(name, "no volatile is given in [structure.volatile]");
  const VolatilePlan& plan = *task.plan.volatiles;
  const auto stream =
      largest_stream(task.plan, [](const StructureStream& s) { return s.material.state != State::filler; });
  if (!stream) return task.leave_out(name, "no stream is a polymer");
  DegassingParameters p = degassing_parameters(plan.substance, task.coefficients);
  p.polymer_density = density(task.plan.streams[*stream].material.density, 473.15);
  p.renewal_time = task.plan.renewal_time;
  p.spaces = gas_spaces(task.mean, plan.vents);
  const VolatileContent inlet{.in_melt = plan.content};
  const auto lived = live_through(
      task, inlet, [&](const VolatileContent& v, const Exposure& e) { return advance(v, e, p); }, task.parcels.count);
  StructureModel m{.name = name,
                   .title = "Volatile left in the melt",
                   .of = fmt::format("{} in {}", plan.substance.name, task.plan.streams[*stream].material.name)};
  using S = VolatileContent;
  m.figures = figures_of<S>(inlet, lived,
                            {{{"content", "content", "1", "ppm", 1e-6, true}, [](const S& v) { return v.in_melt; }},
                             {{"vented", "drawn off", "1", "ppm", 1e-6, false}, [](const S& v) { return v.vented; }}});
  m.parcels = lived.ends.size(), m.coefficients = task.used({degassing_coefficients()});
  bool foamed = false;
  for (const S& v : lived.ends) {
    foamed = foamed || v.foamed;
    if (plan.content > 0) m.balance = std::max(m.balance, std::fabs((v.in_melt + v.vented) / plan.content - 1));
  }
  if (!foamed)
    std::erase_if(m.coefficients, [](const UsedCoefficient& c) { return c.coefficient->name == "degassing_foaming"; });
  if (p.spaces.empty()) m.notes.push_back("No molten stretch stands partly filled under a vent: nothing leaves.");
  m.notes.push_back(
      fmt::format("Solubility and diffusion are those of {} in {}.", plan.substance.name, plan.substance.polymer));
  task.result.models.push_back(std::move(m));
}

// Heat

void heat(const StructureTask& task) {
  constexpr std::string_view name = "heat";
  std::optional<HeatParameters> p;
  std::string of;
  for (const StructureStream& s : task.plan.streams)
    if (const auto its = heat_parameters(s.material, task.coefficients); its && (!p || its->guide < p->guide))
      p = its, of = s.material.name;
  if (!p) return task.leave_out(name, "no material has a degradation guide");
  const HeatHistory inlet{};
  const auto lived = live_through(
      task, inlet, [&](const HeatHistory& h, const Exposure& e) { return advance(h, e, *p); }, task.parcels.count);
  StructureModel m{.name = name, .title = "Heat history", .of = of};
  using S = HeatHistory;
  m.figures = figures_of<S>(
      inlet, lived,
      {{{"dose", "time at the guide temperature that does the same", "s", "s"}, [](const S& h) { return h.dose; }},
       {{"highest_dose", "the same by the hottest place", "s", "s"}, [](const S& h) { return h.highest_dose; }},
       {{"time_above", "time over the guide temperature", "s", "s"}, [](const S& h) { return h.time_above; }},
       {{"highest_time_above", "the same by the hottest place", "s", "s"},
        [](const S& h) { return h.highest_time_above; }}});
  m.parcels = lived.ends.size(), m.coefficients = task.used({heat_history_coefficients()});
  m.notes.push_back(
      fmt::format("Guide temperature {:.0f} degC. Whether a dose does harm depends on the resin.", p->guide - 273.15));
  task.result.models.push_back(std::move(m));
}

void treatment(const StructureTask& task) {
  std::vector<double> time, energy;
  const auto sum = [](const History& h, double Exposure::* what) {
    return std::accumulate(h.begin(), h.end(), 0.0, [&](double s, const Exposure& e) { return s + e.*what; });
  };
  for (std::size_t i = 0; i < task.parcels.count; ++i) {
    const History h = task.parcels.history(i);
    time.push_back(sum(h, &Exposure::time)), energy.push_back(sum(h, &Exposure::energy));
  }
  constexpr int cells = 20;
  Structure& s = task.result;
  s.treatment = ensemble_treatment({time, energy}), s.cloud = treatment_cloud({time, energy}, cells);
  s.mean_time = sum(task.mean, &Exposure::time), s.mean_energy = sum(task.mean, &Exposure::energy);
}

}  // namespace

bool StructureModel::calibrated() const {
  return std::ranges::all_of(coefficients,
                             [](const UsedCoefficient& c) { return c.fixed || c.coefficient->calibrated; });
}

std::string StructureModel::basis() const {
  std::string names;
  for (const UsedCoefficient& c : coefficients)
    if (!c.fixed && !c.coefficient->calibrated) names += (names.empty() ? "" : ", ") + std::string(c.coefficient->name);
  if (names.empty()) return "every coefficient is published, from memory, or fixed in the project";
  return "relative to another trial only: uncalibrated are " + names;
}

std::span<const Coefficient> all_coefficients() {
  static const std::vector<Coefficient> all = [] {
    std::vector<Coefficient> list;
    for (const auto& part : {particle_size_coefficients(), chain_scission_coefficients(), heat_scission_coefficients(),
                             peroxide_coefficients(), filler_dispersion_coefficients(), platelet_coefficients(),
                             blend_morphology_coefficients(), degassing_coefficients(), heat_history_coefficients()})
      list.insert(list.end(), part.begin(), part.end());
    return list;
  }();
  return all;
}

Structure structure_of(const StructurePlan& plan, const History& mean, const ParcelEnsemble& parcels,
                       const Coefficients& coefficients) {
  Structure result;
  result.parcels = parcels.count, result.seed = plan.seed;
  for (const Exposure& e : mean) result.position.push_back(e.position);
  const StructureTask task{plan, mean, parcels, coefficients, result};
  treatment(task);
  particle_size(task);
  chains(task);
  run_blend(task);
  run_filler(task);
  run_platelets(task);
  volatile_content(task);
  heat(task);
  return result;
}

}  // namespace quern
