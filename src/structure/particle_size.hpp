#pragma once
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "materials/material.hpp"
#include "structure/coefficients.hpp"
#include "structure/particle_breakage.hpp"
#include "structure/size_distribution.hpp"
namespace quern {

/// Rates and constants of the size of solid particles, in [closures]. None has a published value for polymers.
std::span<const Coefficient> particle_size_coefficients();

/// A polymer's particles on their way down the line. Per mass of that polymer fed; solid and molten sum to 1.
struct Particles {
  PerSize solid{};   ///< mass by size
  PerSize molten{};  ///< mass that melted, by the size it had then: what the melting section was fed
};
/// Granules as fed: one size. Powder of an earlier pass is `Particles{.solid = ...}`.
Particles granules(const Solid& solid);

/// What the model needs of a polymer, prepared once for all parcels.
struct ParticleModel {
  Solid solid{};
  Viscosity melt{};
  double brittleness = 2;      ///< p [1]
  double softening_width = 5;  ///< w [K]
  double fusion = 1;           ///< multiplies the rate of fusion [1]
  Breakage breakage;           ///< at the solid's yield_T_ref, far below softening
};
/// @param material State::melting; a filler or liquid has no granules
ParticleModel particle_model(const Material& material, const Coefficients& coefficients);

/// Share of a surface that is soft: 1/(1 + exp((T_soft - T)/w)) [1]. At T_soft, where powder begins to stick
/// (Solid::softening), half. Ours, no source.
double softness(const ParticleModel& model, double T);
/// What temperature leaves of the rate of breakage: (σ_y(T)/σ_y(T_ref))ᵖ (1 - softness) [1]; above 1 when chilled.
///
/// p = 2: energy stored at yield is σ_y²/(2E), and the size below which a particle yields instead of cracking goes with
/// 1/σ_y²: Kendall (1978), Nature 272, 710, value from memory.
double brittleness(const ParticleModel& model, double T);
/// Rate at which the contact of particles of which the smaller has that size fuses to a neck of half its radius [1/s]:
/// Frenkel's necking rate for the melt's viscosity at low rate, times the softness; below softening, the viscosity
/// there.
double fusion_rate(const ParticleModel& model, double T, double size);

/// The particles after one exposure: broken by its energy, fused over its time, and what is molten taken out.
///
///   breakage   dmᵢ/dE = brittleness(T) (-Sᵢ mᵢ + Σ b Sⱼ mⱼ), exact over the exposure (particle_breakage)
///   fusion     contacts of a packed powder (particle_fusion), in at most 32 steps, each with its part of the energy
///   melting    solid of every size in proportion, until melt_fraction has melted; what has melted stays so
///
/// Energy counts per mass of solid as per mass of stock: granules and melt take their shares by mass. No energy, no
/// time and no melting change nothing, exactly. T is the exposure's mean temperature.
Particles advance(const Particles& particles, const Exposure& exposure, const ParticleModel& model);
/// The state after each station, in order. A state has 656 bytes: for an ensemble keep summaries, not tracks.
std::vector<Particles> track(const Particles& start, const History& history, const ParticleModel& model);

}  // namespace quern
