#include <fmt/format.h>
#include <limits>

#include "structure/blend_morphology.hpp"
#include "structure/filler_dispersion.hpp"
#include "structure/platelets.hpp"
#include "structure/structure_run.hpp"

namespace quern {
namespace {

double melt_volume(const StructureStream& s) { return s.rate / density(s.material.density, 473.15); }

}  // namespace

void run_blend(const StructureTask& task) {
  constexpr std::string_view name = "blend";
  if (!task.plan.blend) return task.leave_out(name, "no dispersed polymer is named in [structure.blend]");
  const BlendPlan& plan = *task.plan.blend;
  const auto matrix = largest_stream(task.plan, [&](const StructureStream& s) {
    return s.material.state != State::filler && &s != &task.plan.streams[plan.stream];
  });
  if (!matrix) return task.leave_out(name, "there is no other polymer for the drops to lie in");
  const StructureStream &drops = task.plan.streams[plan.stream], &around = task.plan.streams[*matrix];
  const auto share = melt_volume(drops) / (melt_volume(drops) + melt_volume(around));
  BlendParameters p = blend_parameters(task.coefficients);
  if (plan.tension) p.tension = *plan.tension;
  const PhaseLaw law = [&](double T, double rate) {
    return PhaseViscosities{viscosity(around.material.viscosity, rate, T),
                            viscosity(drops.material.viscosity, rate, T)};
  };
  const BlendState inlet = blend_inlet(share, plan.start);
  const auto lived = live_through(
      task, inlet, [&](const BlendState& s, const Exposure& e) { return advance(s, e, law, p); }, task.parcels.count);
  StructureModel m{
      .name = name, .title = "Blend: drops", .of = fmt::format("{} in {}", drops.material.name, around.material.name)};
  using S = BlendState;
  m.figures = figures_of<S>(inlet, lived,
                            {{{"stepwise_diameter", "diameter of drops, coarse end", "m", "um", 1e-6, true},
                              [](const S& s) { return s.stepwise.diameter; }},
                             {{"transient_diameter", "diameter of drops, fine end", "m", "um", 1e-6, true},
                              [](const S& s) { return s.transient.diameter; }}});
  for (const S& s : lived.ends)
    for (const Dispersed& d : {s.stepwise, s.transient})
      m.balance = std::max(m.balance, std::fabs(d.share() / share - 1));
  m.parcels = lived.ends.size(), m.coefficients = task.used({blend_morphology_coefficients()});
  if (plan.tension)
    for (UsedCoefficient& c : m.coefficients)
      if (c.coefficient->name == "interfacial_tension") c.fixed = true, c.value = *plan.tension * 1e3;  // [mN/m]
  if (share > 0.5) m.notes.push_back("The dispersed phase is more than half by volume: it may well be the matrix.");
  task.result.models.push_back(std::move(m));
}

void run_filler(const StructureTask& task) {
  constexpr std::string_view name = "filler";
  if (!task.plan.filler) return task.leave_out(name, "no agglomerate size is given in [structure.filler]");
  const FillerPlan& plan = *task.plan.filler;
  const FillerParameters p = filler_parameters(task.coefficients);
  const Agglomerates inlet = agglomerate_feed(plan.size, plan.spread);
  const auto lived = live_through(
      task, inlet, [&](const Agglomerates& a, const Exposure& e) { return advance(a, e, p); }, task.parcels.count);
  StructureModel m{.name = name, .title = "Filler: agglomerates", .of = task.plan.streams[plan.stream].material.name};
  using S = Agglomerates;
  m.figures =
      figures_of<S>(inlet, lived,
                    {{{"undispersed", "left in agglomerates, by mass", "1", "%", 0.01, false},
                      [](const S& a) { return a.undispersed(); }},
                     {{"mean_diameter", "mean diameter of those left", "m", "um", 1e-6, true}, [](const S& a) {
                        return a.undispersed() > 0 ? a.mean_diameter() : std::numeric_limits<double>::quiet_NaN();
                      }}});
  for (const S& a : lived.ends) m.balance = std::max(m.balance, std::fabs(a.undispersed() + a.dispersed - 1));
  m.parcels = lived.ends.size(), m.coefficients = task.used({filler_dispersion_coefficients()});
  task.result.models.push_back(std::move(m));
}

void run_platelets(const StructureTask& task) {
  constexpr std::string_view name = "platelets";
  if (!task.plan.platelets) return task.leave_out(name, "no stack is given in [structure.platelets]");
  const PlateletPlan& plan = *task.plan.platelets;
  const PlateletParameters p = platelet_parameters(task.coefficients);
  const PlateletStacks inlet{.fed = plan.stack};
  const auto lived = live_through(
      task, inlet, [&](const PlateletStacks& s, const Exposure& e) { return advance(s, e, p); }, task.parcels.count);
  StructureModel m{.name = name, .title = "Platelets", .of = task.plan.streams[plan.stream].material.name};
  using S = PlateletStacks;
  m.figures = figures_of<S>(
      inlet, lived,
      {{{"mean_platelets", "platelets in a stack", "1", "1", 1, true}, [](const S& s) { return s.mean_platelets(); }},
       {{"singles", "share of single platelets", "1", "%", 0.01, false}, [](const S& s) { return s.singles(); }}});
  m.parcels = lived.ends.size(), m.coefficients = task.used({platelet_coefficients()});
  task.result.models.push_back(std::move(m));
}

}  // namespace quern
