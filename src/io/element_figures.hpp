#pragma once
#include <optional>
#include <vector>

#include "flow/element_flow.hpp"
#include "flow/element_library.hpp"
#include "machine/trial.hpp"
namespace quern {

/// One kind of element of a screw, and what it does to a liquid.
struct ElementFigures {
  Element element{};
  std::vector<int> numbers{};  ///< its places in the screw, from 1
  ElementFlow flow{};          ///< as the line model sees it
  std::optional<ElementSolution> solution{};  ///< empty when estimated or given
  bool mirrored = false;       ///< conveys backwards: the solution is of its mirror image
};

/// Every distinct element of the screw, in the order of its first place. Elements that the library does not hold are
/// estimated.
/// @throws InputError  an element for which no flow can be computed
std::vector<ElementFigures> element_figures(const Trial& trial, const ElementLibrary& library);

/// A liquid and a speed at which pressures and powers of elements are compared: 100 Pa s, 100 rpm.
struct Yardstick {
  static constexpr double viscosity = 100;      ///< [Pa s]
  static constexpr double speed = 100.0 / 60;   ///< [1/s]
  static constexpr const char* words = "100 Pa s and 100 rpm";
};

double free_throughput(const ElementFigures& e, double diameter, double speed);  ///< without pressure, A1 N D³ [m3/s]
double closed_pressure(const ElementFigures& e,
                       double diameter);  ///< over the element without throughput, yardstick [Pa]
double free_power(const ElementFigures& e, double diameter);  ///< of the element without pressure, yardstick [W]
double power_number(const ElementFigures& e);  ///< P* without pressure

/// Where the power without pressure goes; shares of one.
struct PowerShares {
  double tips = 0, channel = 0, nip = 0, faces = 0;
};
/// @returns nothing when not solved
std::optional<PowerShares> power_shares(const ElementFigures& e);

/// A solved line as the element stands in the screw: A1 and P1 of the opposite sign when mirrored.
Characteristics as_built(const Characteristics& line, bool mirrored);

/// "1-5, 11": places as people write them.
std::string places_text(const std::vector<int>& numbers);

/// "solved", "estimated" or "given".
const char* name_of(FlowBasis basis);

}  // namespace quern
