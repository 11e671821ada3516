#pragma once
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "flow/history.hpp"
#include "materials/material.hpp"
#include "structure/chain_scission.hpp"
#include "structure/coefficients.hpp"
#include "structure/degassing.hpp"
#include "structure/treatment.hpp"
#include "structure/volatiles.hpp"
namespace quern {

/// One stream of the feed as structure sees it.
struct StructureStream {
  Material material{};
  double rate = 0;  ///< [kg/s]
  double size = 0;  ///< of granules or particles as fed [m]
};

/// Chains of one polymer as fed.
struct ChainPlan {
  std::size_t stream = 0;  ///< index of the polymer
  Chains chains{};
  double Mn = 0, dispersity = 2;  ///< [kg/mol], [1]
  double peroxide = 0;            ///< [mol/kg of stock]
  bool nitrogen = false;          ///< no air: breaking by oxygen is left out
};

/// The dispersed phase of a blend.
struct BlendPlan {
  std::size_t stream = 0;           ///< index of the polymer that is dispersed
  double start = 0;                 ///< size of its bodies as they melt [m]
  std::optional<double> tension{};  ///< interfacial [N/m]; else the coefficient
};

/// Agglomerates of a filler.
struct FillerPlan {
  std::size_t stream = 0;          ///< index of the filler
  double size = 0, spread = 1;     ///< median by mass [m], geometric standard deviation [1]
};

/// A filler of platelets in stacks.
struct PlateletPlan {
  std::size_t stream = 0;  ///< index of the filler
  double stack = 1;        ///< platelets in a stack as fed [1]
};

/// A volatile to be drawn off.
struct VolatilePlan {
  Volatile substance{};
  double content = 0;  ///< as fed, per mass of polymer [1]
  std::vector<Vent> vents{};
};

/// What is there to be changed: the materials say it, and the user where they cannot.
struct StructurePlan {
  int parcels = 2000;
  std::uint64_t seed = 1;
  double renewal_time = 0.1;  ///< between two tips over one place: 1/(n N) [s]
  std::vector<StructureStream> streams{};
  std::optional<ChainPlan> chains{};
  std::optional<BlendPlan> blend{};
  std::optional<FillerPlan> filler{};
  std::optional<PlateletPlan> platelets{};
  std::optional<VolatilePlan> volatiles{};
};

/// Parcels of equal mass, by number: views into whatever sampled them.
struct ParcelEnsemble {
  std::size_t count = 0;
  std::function<History(std::size_t)> history{};
};

/// One figure of a model.
struct StructureFigure {
  std::string_view name{};                   ///< key in results
  std::string_view title{};                  ///< for people
  std::string_view si{};                     ///< unit of the numbers below
  std::string_view unit{};                   ///< for people
  double one = 1;                            ///< that unit in SI
  bool logarithmic = false;                  ///< how it is drawn
  std::optional<double> inlet{};             ///< as fed
  std::vector<double> along{};  ///< mean parcel after each station; NaN where there is none, shape (stations)
  std::optional<Statistics> end{};  ///< of those parcels that have it, at the end of the screw
  std::optional<double> blended{};  ///< of all parcels' material put together
};

/// A coefficient that a model used.
struct UsedCoefficient {
  const Coefficient* coefficient = nullptr;  ///< of the program's lists, never null
  double value = 0;
  bool fixed = false;  ///< by the project
};

/// What one model found. Figures of a model with a coefficient that is neither published nor fixed compare trials, no more.
struct StructureModel {
  std::string_view name{};  ///< key in results
  std::string_view title{};  ///< for people
  std::string of{};  ///< the material
  std::vector<StructureFigure> figures{};  ///< the main one first
  std::size_t parcels = 0;  ///< of the ensemble, the first ones where a model is slow
  std::vector<UsedCoefficient> coefficients{};
  double balance = 0;  ///< what is missing from what must be kept, largest over all parcels, relative
  std::vector<std::string> notes{};
  bool calibrated() const;
  std::string basis() const;  ///< one sentence on how far to trust it
};

struct LeftOut {
  std::string_view model{};
  std::string why{};
};

/// What the line makes of the material.
struct Structure {
  EnsembleTreatment treatment{};
  TreatmentCloud cloud{};
  double mean_time = 0, mean_energy = 0;  ///< of the mean parcel: what the ensemble's means estimate [s], [J/kg]
  std::size_t parcels = 0;
  std::uint64_t seed = 0;
  std::vector<double> position{};  ///< end of each station [m]
  std::vector<StructureModel> models{};
  std::vector<LeftOut> left_out{};
};

/// Every coefficient of every model, in the order of the guide; names are unique.
std::span<const Coefficient> all_coefficients();

/// Runs every model that has what it needs, and says why the others have not.
/// @param mean history of the mean parcel, at least one station
/// @param parcels at least one
Structure structure_of(const StructurePlan& plan, const History& mean, const ParcelEnsemble& parcels,
                       const Coefficients& coefficients);

}  // namespace quern
