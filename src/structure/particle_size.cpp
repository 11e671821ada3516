#include "structure/particle_size.hpp"

#include <algorithm>
#include <cmath>

#include "structure/particle_fusion.hpp"

namespace quern {
namespace {

constexpr std::string_view minerals =
    "uncalibrated: usual for minerals in ball mills (Austin, Klimpel & Luckie 1984), "
    "value from memory; none found for polymers";

constexpr Coefficient list[] = {
    {"breakage_energy", Kind::specific_energy, 200e3, 1e3, 1e8, "kJ/kg", 1.0,
     "uncalibrated: order of magnitude only, 1 MJ/kg then turns granules into powder of some tenths of a millimetre",
     "energy per mass in which a particle of 1 mm breaks once, at the yield's reference temperature", false},
    {"breakage_size_exponent", Kind::ratio, 0.8, 0, 3, "1", 0.3, minerals,
     "how much more readily a larger particle breaks per energy: rate ~ size to this power", false},
    {"breakage_fines_share", Kind::ratio, 0.6, 0, 1, "1", 0.3, minerals,
     "share of a broken particle that turns into fines rather than large pieces", false},
    {"breakage_fines_slope", Kind::ratio, 0.7, 0.2, 5, "1", 0.3, minerals,
     "slope of the fines' cumulative curve; lower means finer dust", false},
    {"breakage_coarse_slope", Kind::ratio, 3.5, 0.5, 20, "1", 0.3, minerals,
     "slope of the large pieces' cumulative curve", false},
    {"brittleness_exponent", Kind::ratio, 2, 0, 6, "1", 0.5,
     "uncalibrated: stored energy at yield, and Kendall's (1978) size of no cracking, go with the square; value from "
     "memory",
     "power of the yield stress with which breakage grows on chilling", false},
    {"softening_width", Kind::temperature_difference, 5, 0.5, 50, "K", 0.5, "uncalibrated: common practice, no source",
     "width of the softening range: breakage ends and fusion begins over some four widths", false},
    {"fusion_rate", Kind::ratio, 1, 0, 1e6, "1", 1.0,
     "uncalibrated: Frenkel (1945) for a melt's viscosity, 0.03 N/m and six contacts, value from memory",
     "multiplies the rate at which touching particles fuse", false},
};

const Coefficient& named(std::string_view name) {
  return *std::find_if(std::begin(list), std::end(list), [&](const Coefficient& c) { return c.name == name; });
}

constexpr double surface_tension = 0.03;  // N/m, polymer melts 0.02 to 0.04: value from memory
constexpr double neck_of_one_body = 0.5;  // neck over radius at which two count as one; ours
constexpr double contacts = 6;            // of a sphere in a random packing: value from memory
constexpr double low_rate = 1e-3;         // 1/s: surfaces creep together
constexpr int most_steps = 32;
constexpr double joined_in_a_step = 0.1;  // share of the mass

// One part of an exposure after the other: short enough that partners change little, the last as long as is left.
PerSize ground_and_fused(PerSize mass, double energy, double time, const PerSize& per_contact,
                         const ParticleModel& model) {
  double left = 1;
  for (int step = 1; left > 0; ++step) {
    const double pace = joined_per_time(mass, packed_contacts(mass, per_contact, contacts)) * time;
    const double part = step == most_steps || pace * left <= joined_in_a_step ? left : joined_in_a_step / pace;
    mass = model.breakage.after(mass, energy * part);
    mass = joined(mass, packed_contacts(mass, per_contact, contacts), time * part);
    left -= part;
  }
  return mass;
}

void melt(Particles& particles, double melt_fraction) {
  const double wanted = std::min(melt_fraction, 1.0) - total(particles.molten);
  if (!(wanted > 0)) return;
  const double share = melt_fraction >= 1 ? 1.0 : std::min(wanted / total(particles.solid), 1.0);
  for (int i = 0; i < size_classes; ++i) {
    const double melts = particles.solid[i] * share;
    particles.molten[i] += melts;
    particles.solid[i] -= melts;
  }
}

}  // namespace

std::span<const Coefficient> particle_size_coefficients() { return list; }

Particles granules(const Solid& solid) { return {single_size(solid.size), {}}; }

ParticleModel particle_model(const Material& material, const Coefficients& coefficients) {
  const auto value = [&](std::string_view name) { return coefficients(named(name)); };
  const Selection selection{1 / value("breakage_energy"), value("breakage_size_exponent")};
  const Fragments fragments{value("breakage_fines_share"), value("breakage_fines_slope"),
                            value("breakage_coarse_slope")};
  return {material.solid,           material.viscosity,   value("brittleness_exponent"),
          value("softening_width"), value("fusion_rate"), Breakage(breakage_rates(selection, fragments))};
}

double softness(const ParticleModel& model, double T) {
  return 1 / (1 + std::exp((model.solid.softening - T) / model.softening_width));
}

double brittleness(const ParticleModel& model, double T) {
  const Solid& s = model.solid;
  const double relative = yield_stress(s, T, s.yield_rate_ref) / yield_stress(s, s.yield_T_ref, s.yield_rate_ref);
  const double hard = 1 / (1 + std::exp((T - s.softening) / model.softening_width));
  return std::pow(relative, model.brittleness) * hard;
}

double fusion_rate(const ParticleModel& model, double T, double size) {
  const double eta = viscosity(model.melt, low_rate, std::max(T, model.solid.softening));
  const double rate = necking_rate(surface_tension, eta, 0.5 * size, neck_of_one_body);
  return model.fusion * softness(model, T) * rate;
}

Particles advance(const Particles& particles, const Exposure& exposure, const ParticleModel& model) {
  if (!(total(particles.solid) > 0)) return particles;
  const double T = exposure.temperature, at_1_m = fusion_rate(model, T, 1);
  PerSize per_contact{};
  for (int i = 0; i < size_classes; ++i) per_contact[i] = at_1_m / middle_size(i);
  Particles now = particles;
  now.solid = ground_and_fused(now.solid, exposure.energy * brittleness(model, T), std::max(exposure.time, 0.0),
                               per_contact, model);
  melt(now, exposure.melt_fraction);
  return now;
}

std::vector<Particles> track(const Particles& start, const History& history, const ParticleModel& model) {
  std::vector<Particles> states;
  states.reserve(history.size());
  for (const Exposure& exposure : history)
    states.push_back(advance(states.empty() ? start : states.back(), exposure, model));
  return states;
}

}  // namespace quern
