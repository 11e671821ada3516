#pragma once
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "flow/die.hpp"
#include "flow/element_library.hpp"
#include "geometry/screw.hpp"
#include "machine/closures.hpp"
#include "materials/material.hpp"
namespace quern {

/// Motor and gearbox. The drive gives constant torque, so power falls with speed.
struct Drive {
  double power_max = 0;           ///< motor rating at speed_max [W]
  double speed_max = 0;           ///< screw speed [1/s]
  double torque_max = 0;          ///< per shaft [N m]
  double efficiency = 0.93;       ///< motor and gearbox, rating to shafts [1]
  double idle_power = 0;          ///< empty screws at idle_speed; taken proportional to speed [W]
  double idle_speed = 5;          ///< [1/s], 300 rpm
};

/// What a chiller can remove against coolant temperature, and the coolant it circulates.
struct Chiller {
  double glycol = 0.3;                                   ///< mass fraction in water [1]
  std::vector<std::pair<double, double>> capacity{};     ///< temperature [K], heat removed [W]; straight lines
  std::optional<double> flow{};                          ///< coolant [m3/s]
};

/// The machine as it stands, without a screw.
struct Machine {
  std::string name{};
  Section section{};
  double shaft_length = 0;  ///< [m]
  double pressure_max = 0;  ///< rating at the die [Pa]
  Drive drive{};
  std::optional<Chiller> chiller{};
  std::vector<Zone> zones{};      ///< feed to die
  std::optional<Die> die{};       ///< empty: open end
};

/// One stream into the feed port.
struct Feed {
  Material material{};
  double rate = 0;                         ///< [kg/s]
  double temperature = 293.15;             ///< [K]
  std::optional<double> size{};            ///< granule or particle diameter [m]; else the material's
  std::optional<double> bulk_density{};    ///< as poured [kg/m3]; else the material's
  std::string form{};                      ///< "pellet", "flake", "powder": for people
};

/// Water trough behind a strand die.
struct TakeOff {
  double trough_length = 0;       ///< [m]
  double water_temperature = 293.15;  ///< [K]
  std::optional<double> strand_diameter{};  ///< after draw-down; else the hole's [m]
};

struct Numerics {
  int cells = 600;           ///< over the whole screw
  double tolerance = 1e-8;   ///< on fill (absolute), temperature and pressure (relative)
  int iterations = 500;      ///< most
  bool estimate_elements = false;  ///< by the closed formulas of the first closure instead of the strip solver
};

/// Everything that decides one steady state.
struct Trial {
  std::string title{};
  std::string mode{};  ///< for people only: the state of the stock follows from its enthalpy
  Machine machine{};
  Screw screw{};
  std::vector<Feed> feeds{};
  double screw_speed = 0;                   ///< [1/s]
  std::vector<double> zone_temperature{};   ///< set points, one per zone, feed to die [K]
  std::optional<TakeOff> take_off{};
  Closures closures{};
  /// Solved elements. What the screw has and the library has not is estimated by closed formulas, and said to be.
  std::shared_ptr<const ElementLibrary> elements{};
  std::string input_id{};                   ///< of the texts it was read from (io/input_id.hpp); empty: made in code
  std::string calibration{};                ///< name of a fitted closure set in use; empty: none
  Numerics numerics{};
};

double throughput(const Trial& trial);  ///< Σ feed rates [kg/s]

}  // namespace quern
