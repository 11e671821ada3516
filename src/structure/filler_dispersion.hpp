#pragma once
#include <array>
#include <span>
#include <vector>

#include "flow/history.hpp"
#include "structure/coefficients.hpp"
namespace quern {

/// Constants of the model. None is known for a given filler: figures compare one trial with another.
std::span<const Coefficient> filler_dispersion_coefficients();

/// Values in force, SI.
struct FillerParameters {
  double strength;            ///< of agglomerates, in tension [Pa]
  double primary;             ///< diameter of what counts as dispersed [m]
  double rupture_per_pass;    ///< share of those turned so that they could break that do, in a tip pass [1]
  double rupture_per_strain;  ///< the same per unit of strain in the channel [1]
  double erosion;             ///< radius lost per strain at a stress of the strength, relative [1]
};
FillerParameters filler_parameters(const Coefficients& coefficients);

/// Agglomerates by size, as shares of the filler's mass. A rupture halves an agglomerate and so moves it down a class;
/// erosion shrinks all in proportion and so moves the classes.
struct Agglomerates {
  static constexpr int classes = 41;    ///< from the coarsest down to a ten-thousandth of it
  double coarsest = 0;                  ///< diameter of class 0 [m]
  std::array<double, classes> mass{};   ///< [1]
  double dispersed = 0;                 ///< share that is dispersed [1]
  double diameter(int i) const;         ///< of class i, 2^(-i/3) of the coarsest [m]
  double undispersed() const;           ///< share left in agglomerates [1]
  double coarser(double limit) const;   ///< share in agglomerates of that diameter and above [1]
  double mean_diameter() const;         ///< by mass, of what is not dispersed [m]; 0 when all is
  bool operator==(const Agglomerates&) const = default;
};

/// A feed of agglomerates, log-normal by mass. @param median [m]
/// @param spread geometric standard deviation [1], 1 for a single size; what lies beyond the classes is put in the last
Agglomerates agglomerate_feed(double median, double spread = 1);

/// The filler after one station: its passes over tips, then the channel.
///
///   ruptures per tip pass = k share(σ/T), in the channel k' share(σ/T) per strain; Poisson's law for their number
///   radius ~ exp(-β Σ γ σ/T), what is shed is dispersed: Rwei, Manas-Zloczower & Feke (1991), Polym. Eng. Sci. 31, 558,
///   value from memory; that their β is proportional to stress over strength is our reading
/// σ is the melt's shear stress, or that on granules under a tip for the share not yet molten; T the strength; share()
/// the orientations in which it suffices (share_of_orientations). Integrated exactly; the filler's mass is kept. No
/// clustering, no wetting, no infiltration by the melt. Some 1 µs a station.
Agglomerates advance(const Agglomerates& filler, const Exposure& station, const FillerParameters& p);

/// After every station of a history, shape (stations).
std::vector<Agglomerates> advance(const Agglomerates& feed, const History& history, const FillerParameters& p);

/// Largest force that shear has to part two equal touching spheres with, 3π η γ̇ r² [N].
/// Source: Tadmor & Gogos, Principles of Polymer Processing; value from memory.
double separating_force(double viscosity, double shear_rate, double radius);

/// Attraction of two equal spheres, A r/(12 z²) [N]. @param hamaker A [J] @param radius r [m] @param gap z [m]
/// Source: Hamaker (1937), Physica 4, 1058, for z ≪ r.
double sphere_attraction(double hamaker, double radius, double gap);

/// Tensile strength of a heap of equal spheres, 1.1 (1 - ε)/ε F/d² [Pa]. @param porosity ε [1] @param force F [N]
/// @param diameter d of the spheres [m]. Source: Rumpf (1962), in Agglomeration (ed. Knepper); value from memory.
double rumpf_strength(double porosity, double force, double diameter);

/// Share of all directions in which shear pulls a pair of spheres apart with at least 1/s of its greatest force [1],
/// s = stress/strength: none below s = 1, half of all for s without limit.
///
/// Along (x, y, z), flow in x and its gradient in y, the force is 2xy of the greatest: where it exceeds c = 1/s,
///   share = (1/π) ∫ acos(c/(1 - z²)) dz from 0 to √(1 - c), here within 0.001 of it.
/// After Manas-Zloczower, Nir & Tadmor (1982), Rubber Chem. Technol. 55, 1250, who let random pairs meet a high stress.
double share_of_orientations(double stress_over_strength);

}  // namespace quern
