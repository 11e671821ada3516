#pragma once
#include <optional>
#include <string>
#include <vector>

#include "materials/density.hpp"
#include "materials/solid.hpp"
#include "materials/thermal.hpp"
#include "materials/viscosity.hpp"
namespace quern {

/// Where one of a material's numbers came from.
struct Provenance {
  std::string field{};   ///< "viscosity", "thermal.heat_of_fusion", ...
  std::string value{};   ///< as written in the file, with its unit
  std::string source{};  ///< author, year, table; or "value from memory"
};

/// How a material behaves on the line.
enum class State {
  melting,  ///< a polymer: granules that soften or melt
  liquid,   ///< liquid at every temperature: no melting, no solid zone
  filler    ///< solid at every temperature on the line
};

/// Polymer families whose decomposition asks for a caution (docs/guide, cautions).
enum class Hazard { none, chlorinated, fluorinated, acetal, flame_retarded, unknown };

/// One resin, filler or liquid with its property laws.
struct Material {
  std::string name{};
  std::string family{};  ///< "polypropylene", "talc", ...
  State state = State::melting;
  Hazard hazard = Hazard::none;
  Viscosity viscosity{};                         ///< not used for a filler
  Density density{};                             ///< of the melt; of the particle for a filler
  Thermal thermal{};
  Solid solid{};                                 ///< not used for a liquid
  std::optional<double> degradation_guide{};     ///< stock temperature not to exceed [K]
  double max_packing = 0.63;                     ///< filler: largest volume fraction [1]
  std::vector<Provenance> provenance{};
};

}  // namespace quern
