#pragma once
#include <vector>

#include "machine/trial.hpp"
namespace quern {

/// The streams together, as one stock with mean properties. Mixing rules (docs/theory/line, stock):
/// heat by mass, volume by mass (no volume of mixing), melt viscosity log-additive over the polymers by mass,
/// times the suspension factor of the fillers; yield and friction over the polymers by mass, the lowest
/// softening temperature counting; size by mass.
class Stock {
 public:
  explicit Stock(const Trial& trial);

  struct Polymer {
    Material material{};
    double share = 0;  ///< of all polymers, by mass
  };
  const std::vector<Polymer>& polymers() const { return polymers_; }

  /// Enthalpy of the stock [J/kg] when everything has the temperature T, at equilibrium; exact laws.
  double enthalpy(double T) const;
  /// T with enthalpy(T) = h, within 150 K to 1000 K and there at the ends [K].
  double temperature(double h) const;
  /// dh/dT [J/(kg K)], heat of fusion included.
  double heat_capacity(double T) const;
  /// Melt mass fraction of the polymers at equilibrium [1].
  double melt_fraction(double T) const;
  /// Shear yield stress of the granules, σy/√3 over the polymers by mass, at their reference rates [Pa].
  double shear_yield(double T) const;
  /// Melt density with fillers [kg/m3].
  double melt_density(double T, double p) const;
  /// Multiplier of the melt viscosity from fillers [1].
  double filler_factor(double T) const;

  double feed_enthalpy = 0;     ///< mean of the streams as fed [J/kg]
  double feed_temperature = 0;  ///< of the mixed streams, at equilibrium [K]
  double polymer_share = 0;     ///< mass fraction [1]
  bool all_liquid = false;      ///< nothing melts
  double fusion = 0;            ///< per mass of stock [J/kg]
  double T_melt = 0;            ///< highest of the polymers [K]
  double softening = 0;         ///< lowest of the polymers [K]
  double degradation = 0;       ///< lowest guide [K]; 0: none known
  double density_solid = 0;     ///< of the particles together [kg/m3]
  double bulk_loose = 0, bulk_compacted = 0;  ///< [kg/m3]
  double size = 0;              ///< of the polymer granules [m]
  double friction = 0;
  double conductivity_solid = 0, conductivity_melt = 0, heat_capacity_solid = 0;
  double polymer_volume_share = 0;  ///< of the particles' volume

 private:
  struct Part {
    Material material{};
    double share = 0;  ///< of the stock, by mass
  };
  std::vector<Part> parts_{};
  std::vector<Polymer> polymers_{};
};

/// Temperature and melt fraction against enthalpy, as a table that a march can read in constant time.
/// Cubic Hermite between 1024 nodes, 150 K to 1000 K; exact where heat capacities are constant.
struct HeatTable {
  double h0 = 0, step = 1;
  struct Node {
    double T, dT, X, dX;  ///< temperature and melt fraction: values, and slopes times step
    double Y, dY;         ///< shear yield stress of the granules at its reference rate [Pa], likewise
  };
  std::vector<Node> nodes{};
};
HeatTable heat_table(const Stock& stock);

}  // namespace quern
