#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/quantity.hpp"
#include "flow/history.hpp"
#include "geometry/screw.hpp"
namespace quern {

/// State of the stock, by its melt fraction: solid below 1 %, melt above 99 %.
enum class Stage { solid, transition, melt };
inline constexpr double solid_below = 0.01, melt_above = 0.99;  ///< melt mass fraction of the polymers [1]
constexpr Stage stage_of(double melt_fraction) {
  return melt_fraction < solid_below ? Stage::solid : melt_fraction > melt_above ? Stage::melt : Stage::transition;
}
template <class T>
struct ByStage {
  T solid{}, transition{}, melt{};
};
/// Where mechanical energy goes.
struct ByMechanism {
  double solid_friction = 0;  ///< granules sheared between tips, barrel and the other screw
  double melting = 0;         ///< dissipated in the mixture of melt and granules
  double melt_shear = 0;      ///< dissipated in the melt
  double pressure = 0;        ///< flow work that leaves with the stock, p_die/ρ
};

/// The figures of a steady state. SI throughout; keys in results are these names.
struct Summary {
  double throughput = 0, screw_speed = 0;
  double mean_residence_time = 0, first_out_time = 0, washout_95 = 0, washout_99 = 0;
  ByStage<double> residence_by_section{};
  double specific_energy = 0;
  ByStage<double> specific_energy_by_section{};
  ByMechanism specific_energy_by_mechanism{};
  double shaft_power = 0, motor_power = 0, torque_per_shaft = 0, torque_share = 0;
  double outlet_temperature = 0, highest_temperature = 0, die_pressure = 0, mean_fill = 0, filled_length = 0;
  double heater_duty = 0, cooling_duty = 0, chiller_duty = 0;
};

/// One limit of machine, material or process.
struct Limit {
  enum class State { within, near, over };
  std::string name{};     ///< "torque", "softening", ...
  Kind kind{};            ///< what value and limit measure
  std::string unit{};     ///< for people
  double value = 0, limit = 0;
  double margin = 0;      ///< limit - value, or value - limit where more is better: positive is good; SI
  State state = State::within;
  std::optional<double> place{};  ///< from the feed end [m]
  std::string text{};     ///< one sentence in words and figures
};

/// Along the screw, at the edges of the cells: arrays of one length, from 0 to the shaft length.
struct ProfileTable {
  std::vector<double> position, temperature, pressure, fill, melt_fraction, residence_time, specific_energy;
  std::vector<int> element;               ///< index into Screw::elements, of the cell that ends here
  std::vector<double> film_temperature;   ///< granules at the wall under a tip [K]; melt: equals temperature
  std::vector<double> wall_temperature;   ///< [K]
  std::vector<double> softening;          ///< margin of bulk to softening while solid [K]; NaN when molten
};

struct ZoneState {
  std::string name{};
  double set_temperature = 0;
  double heat_from_barrel = 0;  ///< [W]; negative: cooling
  double specific_energy = 0;   ///< mechanical, in this zone [J/kg]
};

struct ElementState {
  double from = 0, to = 0;        ///< [m]
  double residence_time = 0;      ///< [s]
  double specific_energy = 0;     ///< [J/kg]
  double mean_fill = 0;           ///< [1]
  double filled_length = 0;       ///< [m]
  double temperature_out = 0;     ///< [K]
  double pressure_max = 0;        ///< [Pa]
  double melt_fraction_out = 0;   ///< [1]
  Stage stage = Stage::solid;     ///< at its end
};

/// E(t) and F(t) at the end of the screw; the die's own volume, well under a second, is left out.
struct Residence {
  std::vector<double> time, density, cumulative;
};

/// One length of screw as a residence time distribution: a share passes without mixing, the rest as n equal tanks.
struct MixedLength {
  double mean = 0;   ///< [s]
  double tanks = 1;  ///< n, need not be whole
  double plug_share = 0;  ///< d
};

/// One element of a solved line as parcels see it: what the mean parcel lives through there, and how unequally.
struct Station {
  Exposure mean{};
  std::vector<MixedLength> mixing{};  ///< the element's residence time distribution; their means add up to mean.time
  double tip_repeat =
      1;  ///< passes in a row of a parcel once it is drawn over a tip: the film on the barrel is overrun again
  double tip_share = 0;  ///< of mean.energy, taken under tip lands: shared out by passes, the rest by time
};

/// One line of "what this prediction rests on".
struct Trust {
  std::string closure{};
  double value = 0;  ///< SI
  std::string unit{};  ///< SI unit
  std::string basis{};
  double relative_uncertainty = 0;
  bool calibrated = false;
};

/// How the heat adds up [W].
struct HeatBalance {
  double shaft_power = 0, heaters = 0, cooling = 0, chiller = 0, enthalpy_rise = 0, flow_work = 0, remainder = 0;
};

struct Strand {
  double diameter = 0, speed = 0, time_in_water = 0, core = 0, mean = 0, safe_core = 0;
};

/// Spread (one sigma) of the main results that the uncertainties of closures and element flow lead to; relative but for K.
struct Spread {
  double specific_energy = 0, mean_residence_time = 0, outlet_temperature_K = 0, torque_share = 0;
};

struct LineState {
  Summary summary{};
  std::vector<Limit> limits{};
  double mass_balance = 0, energy_balance = 0;  ///< relative remainders
  ProfileTable profile{};
  std::vector<ZoneState> zones{};
  std::vector<ElementState> elements{};
  Residence residence{};
  std::vector<Station> stations{};  ///< one an element, for histories of parcels
  std::vector<Trust> trust{};
  std::vector<std::string> cautions{};
  std::vector<BuildWarning> build_warnings{};
  HeatBalance heat{};
  std::optional<Strand> strand{};
  std::optional<Spread> spread{};
  int iterations = 0;
  double residual = 0;
};

}  // namespace quern
