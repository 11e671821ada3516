#pragma once
#include <vector>
namespace quern {

/// What a parcel of stock lives through in one station of the line: an element, or the part of one in one state.
/// Rates and stresses of the melt are volume means of the filled element; the tips' own apart, since few passes matter.
struct Exposure {
  double position = 0;  ///< where the station ends, from the feed end [m]
  double length = 0;  ///< [m]
  double time = 0;  ///< spent there [s]
  double energy = 0;  ///< mechanical, taken up there [J/kg]
  double temperature = 293.15;  ///< mean of the stock [K]
  double hottest = 293.15;  ///< of the stock, or of the film on granules [K]
  double pressure = 0;  ///< mean [Pa]
  double melt_fraction = 1;  ///< of the polymers, mean [1]
  double shear_rate = 0;  ///< of the melt [1/s]
  double viscosity = 0;  ///< of the melt at that rate [Pa s]
  double tip_passes = 0;  ///< times it was drawn over a tip land [1]
  double tip_rate = 0;  ///< shear rate there [1/s]
  double tip_viscosity = 0;  ///< [Pa s]
  double tip_time = 0;  ///< of one pass [s]
  double granule_stress = 0;  ///< shear stress on granules under a tip [Pa]; 0 without granules
  double fill = 1;  ///< mean [1]
  double surface = 0;  ///< free melt surface renewed per time, per volume of melt there [1/(m s)]; 0 when full
  bool kneading = false;
  bool open = false;  ///< under a vent or a port
  double stress() const { return viscosity * shear_rate; }  ///< [Pa]
  double tip_stress() const { return tip_viscosity * tip_rate; }  ///< [Pa]
};

/// One parcel, from the feed to the end of the screw.
using History = std::vector<Exposure>;

}  // namespace quern
