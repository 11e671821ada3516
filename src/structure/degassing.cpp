#include "structure/degassing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

constexpr Coefficient list[] = {
    {"degassing_surface", Kind::ratio, 1, 0, 10, "1", 0.4,
     "1 is every tip renewing the whole free surface: Latinen (1962), Adv. Chem. Ser. 34, 235, value from memory",
     "transfer from films and pools to the gas over that of ideal films", true},
    {"degassing_pool", Kind::ratio, 0.3, 0, 10, "1", 0.7,
     "from geometry: 3 pools a depth wide on the bore of a two-lobed pair, 0.1, renewed in a ninth of the films' time",
     "transfer from the rolling pools over that of the films of an empty channel", true},
    {"degassing_foaming", Kind::ratio, 20, 1, 1000, "1", 1,
     "uncalibrated: bubbles speed transfer 10 to 100 times, value from memory",
     "transfer while bubbles grow over that of the surface alone", false},
    {"degassing_supersaturation", Kind::ratio, 2, 1, 100, "1", 1,
     "uncalibrated: bubbles need a partial pressure above the port's; by how much is a matter of nuclei",
     "partial pressure of the volatile over the port's pressure at which bubbles grow", false},
    {"degassing_diffusion", Kind::ratio, 1, 0.001, 1000, "1", 1,
     "diffusivities are values from memory, each within a factor of about two",
     "multiplies the diffusivity of the volatile in the melt", true},
    {"degassing_equilibrium", Kind::ratio, 1, 0.001, 1000, "1", 0.5,
     "Flory (1953) with interaction parameters from memory, each within 0.4 or so; of water within 1",
     "multiplies the partial pressure of the volatile over the melt", true},
};
enum Index : std::size_t { surface, pool, foaming, supersaturation, diffusion, equilibrium };

/// p1/w.
double henry(const DegassingParameters& p, double T) {
  const Volatile& v = p.substance;
  return p.equilibrium * saturation_pressure(v, T) * p.polymer_density / v.density * std::exp(1 + v.interaction);
}

const GasSpace* space_at(const DegassingParameters& p, double z) {
  const auto found =
      std::find_if(p.spaces.begin(), p.spaces.end(), [z](const GasSpace& s) { return s.from <= z && z <= s.to; });
  return found == p.spaces.end() ? nullptr : &*found;
}

/// ∫ k a dt without bubbles.
double transfer_units(const Exposure& e, const DegassingParameters& p) {
  const double D = p.diffusion * diffusivity(p.substance, e.temperature);
  const double ideal = transfer_coefficient(D, p.renewal_time) * p.renewal_time * e.surface * e.time;
  return p.surface * ideal * (1 + p.pool / std::max(1 - e.fill, 1e-3));
}

/// How much leaves: e^-n of the excess over `floor` is left after n units, which bubbles give `foaming` times as fast
/// while the content is above `bubbling`.
double loss(double content, double floor, double bubbling, double units, double foaming) {
  const double excess = content - floor;
  if (content <= bubbling) return -excess * std::expm1(-units);
  if (bubbling <= floor) return -excess * std::expm1(-foaming * units);
  const double until = std::log(excess / (bubbling - floor)) / foaming;
  if (units <= until) return -excess * std::expm1(-foaming * units);
  return (content - bubbling) - (bubbling - floor) * std::expm1(-(units - until));
}

}  // namespace

std::span<const Coefficient> degassing_coefficients() { return list; }

DegassingParameters degassing_parameters(const Volatile& substance, const Coefficients& c) {
  return {.substance = substance,
          .surface = c(list[surface]),
          .pool = c(list[pool]),
          .foaming = c(list[foaming]),
          .supersaturation = c(list[supersaturation]),
          .diffusion = c(list[diffusion]),
          .equilibrium = c(list[equilibrium])};
}

std::vector<GasSpace> gas_spaces(const History& mean, std::span<const Vent> vents) {
  std::vector<GasSpace> spaces;
  for (std::size_t first = 0; first < mean.size(); ++first) {
    if (mean[first].surface <= 0) continue;
    std::size_t last = first;
    bool open = mean[first].open;
    while (last + 1 < mean.size() && mean[last + 1].surface > 0) open |= mean[++last].open;
    GasSpace space{.from = mean[first].position - mean[first].length, .to = mean[last].position};
    bool found = false;
    for (const Vent& vent : vents) {
      if (vent.position < space.from || vent.position > space.to) continue;
      if (!found || vent.pressure > space.pressure)
        space.pressure = vent.pressure, space.vapour_share = vent.vapour_share;
      found = true;
    }
    if (open) spaces.push_back(space);
    first = last;
  }
  return spaces;
}

double transfer_coefficient(double diffusivity, double time) {
  return 2 * std::sqrt(diffusivity / (std::numbers::pi * time));
}

double flory_huggins_activity(double volume_share, double interaction) {
  const double polymer = 1 - volume_share;
  return volume_share * std::exp(polymer + interaction * polymer * polymer);
}

double partial_pressure(const DegassingParameters& p, double content, double T) { return henry(p, T) * content; }

double equilibrium_content(const DegassingParameters& p, double partial_pressure, double T) {
  const double h = henry(p, T);
  return partial_pressure < h ? partial_pressure / h : 1;
}

VolatileContent advance(VolatileContent content, const Exposure& exposure, const DegassingParameters& parameters) {
  if (exposure.time <= 0 || exposure.surface <= 0 || parameters.renewal_time <= 0) return content;
  const GasSpace* gas = space_at(parameters, exposure.position - exposure.length / 2);
  if (!gas) return content;
  const double T = exposure.temperature, share = std::clamp(gas->vapour_share, 0.0, 1.0);
  const double floor = equilibrium_content(parameters, share * std::max(gas->pressure, 0.0), T);
  const double units = transfer_units(exposure, parameters);
  if (content.in_melt <= floor || !(units > 0)) return content;
  const double bubbling =
      equilibrium_content(parameters, std::max(parameters.supersaturation, 1.0) * std::max(gas->pressure, 0.0), T);
  const double lost =
      std::min(loss(content.in_melt, floor, bubbling, units, parameters.foaming), content.in_melt - floor);
  content.foamed |= content.in_melt > bubbling;
  content.in_melt -= lost, content.vented += lost;
  return content;
}

std::vector<VolatileContent> degas_along(VolatileContent content, const History& history,
                                         const DegassingParameters& parameters) {
  std::vector<VolatileContent> after;
  after.reserve(history.size());
  for (const Exposure& exposure : history) after.push_back(content = advance(content, exposure, parameters));
  return after;
}

}  // namespace quern
