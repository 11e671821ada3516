#pragma once
#include <functional>
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "structure/coefficients.hpp"
namespace quern {

/// Constants of the model; interfacial tension and stretching are not to be had from the literature for a given pair.
std::span<const Coefficient> blend_morphology_coefficients();

/// Values in force, SI.
struct BlendParameters {
  double tension;           ///< interfacial [N/m]
  double stretching;        ///< share of the strain that draws threads out: d ln L/dγ [1]
  double
      elongation_share;  ///< share of the strain that is elongation [1]; 0: shear alone, so nothing breaks above λ 3.8
  double split_time_scale;  ///< multiplies the strain in which a drop splits [1]
  double stretching_onset;  ///< Ca* above which a drop is drawn out to a thread instead of splitting [1]
  double film;  ///< critical thickness at which the film between drops bursts [m]
  double collisions;  ///< multiplies the collisions [1]; 0: drops never merge
};
BlendParameters blend_parameters(const Coefficients& coefficients);

/// Melt viscosities of the two phases [Pa s].
struct PhaseViscosities {
  double matrix, drops;
};
/// Of temperature [K] and shear rate [1/s].
using PhaseLaw = std::function<PhaseViscosities(double T, double shear_rate)>;

/// Equal bodies of the dispersed phase: drops, or threads that drops were drawn out to.
struct Dispersed {
  double number;  ///< per volume of blend [1/m3]
  double volume;  ///< of one [m3]; number times volume, the phase's share, never changes
  double radius;  ///< of the drop, or of the thread [m]
  double diameter;  ///< of the drop, or of the drops the thread falls into when left alone [m]
  double growth = 0;  ///< on threads: ln of the ripples' amplitude over that of thermal ripples [1]
  bool thread = false;
  double share() const { return number * volume; }
  bool operator==(const Dispersed&) const = default;
};

/// A blend by the two routes between which drops are made; the truth is somewhere about them.
///
/// Both draw coarse bodies out to threads as the melt stretches (interfacial tension too weak to matter) and let
/// drops below the onset split in two until the flow can no longer break them. They differ in when a thread breaks.
struct BlendState {
  Dispersed stepwise;  ///< as soon as its drops would be near the critical size: the coarse end
  Dispersed transient;  ///< when ripples have grown through it while it still thins: fine, finer for higher λ
};

/// Drops of one size. @param share of the dispersed phase by volume of the blend [1]  @param diameter [m]
BlendState blend_inlet(double share, double diameter);

/// The blend after one station. First its passes over tips, then the channel's shear, at its mean temperature; of both
/// only the molten share counts.
///
///   thread      r' = -(e/2) γ̇ r,  growth' = Γ Ω_m/(2 ηc r), broken at growth = ln(0.81 r/α0)
///   splitting   d ln R/dγ = -(ln 2/3)/(t* Ca*), volume halved in the strain t* Ca*, while Ca* > 1
///   merging     d ln R/dγ = (4/3π) φ P(R): Smoluchowski's (1917) collisions of equal spheres in shear, 8φγ̇/π per drop
/// Drops settle where splitting and merging are in balance; until then only the stronger of the two acts.
/// Each is integrated exactly, so a station cut in two gives the same. Drops without shear and stations without time
/// stay as they are, exactly; threads break even at rest.
/// Sources: Huneault, Shi & Utracki (1995), Polym. Eng. Sci. 35, 115; Janssen & Meijer (1993), J. Rheol. 37, 597;
/// Tomotika (1935); Elmendorp (1986): as in drop_breakup.hpp. Melts are taken as Newtonian at the rate of the station.
/// Finite viscosities of zero or less leave the blend as it is. Some 2 µs a station.
BlendState advance(const BlendState& blend, const Exposure& station, const PhaseLaw& law, const BlendParameters& p);

/// After every station of a history, shape (stations).
std::vector<BlendState> advance(const BlendState& inlet, const History& history, const PhaseLaw& law,
                                const BlendParameters& p);

/// Radius of drops of one size after a strain in which they only merge [m]: in y = (√3/4)(R/h) λ Ca^1.5 ~ R^2.5,
///   Ei(y) = Ei(y0) + (10/3π) c φ γ
/// @param y0 of the first radius, not negative  @param dose (10/3π) c φ γ  @return radius over the first [1]
double growth_by_merging(double y0, double dose);

}  // namespace quern
