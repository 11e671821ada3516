#pragma once
#include <numbers>

#include "machine/trial.hpp"
namespace quern {

/// For tests of the line: granules through a chilled zone, melted, against a die; every closure of the march acts in it.
inline Trial trial_example() {
  constexpr double D = 0.03, deg = std::numbers::pi / 180;
  Trial t;
  t.machine.section = {.barrel_bore = 1.01 * D, .screw_diameter = D, .centre_distance = 24.8e-3, .screw_gap = 0.2e-3};
  t.machine.shaft_length = 0.6;
  t.machine.pressure_max = 12e6;
  t.machine.drive = {.power_max = 15e3, .speed_max = 10, .torque_max = 119};
  t.machine.chiller = Chiller{.glycol = 0.4, .capacity = {{263.15, 3400}, {283.15, 7000}}};
  t.machine.zones = {
      {.name = "intake", .length = 0.12, .port = Port::feed, .cooling = Cooling::water},
      {.name = "cold", .length = 0.12, .cooling = Cooling::chiller},
      {.name = "hot", .length = 0.24, .cooling = Cooling::water, .heating = 2400},
      {.name = "metering", .length = 0.12, .cooling = Cooling::water, .heating = 1200},
  };
  t.zone_temperature = {288.15, 265.15, 473.15, 483.15};
  t.machine.die = Die{.count = 2, .diameter = 3e-3, .land = 12e-3};
  t.take_off = TakeOff{.trough_length = 2};

  const Element wide{.length = 45e-3, .lead = 45e-3}, narrow{.length = 30e-3, .lead = 30e-3};
  const Element block{.kind = ElementKind::kneading, .length = 30e-3, .discs = 5, .stagger = 45 * deg};
  Element neutral = block, back = narrow;
  neutral.stagger = 90 * deg;
  back.hand = Hand::reverse;
  t.screw.elements = {wide,    wide,  wide,    block, block, narrow, block,  narrow, block,
                      neutral, block, neutral, back,  wide,  narrow, narrow, narrow, narrow};

  Material m;
  m.name = "some polymer";
  m.viscosity = with_arrhenius(carreau_yasuda(4000, 0, 0.2, 0.7, 0.35), 45e3, 473.15);
  m.density = {.rho = 750};
  m.thermal = {.cp_solid = 1900, .cp_melt = 2600, .T_melt = 436, .width = 5, .fusion = 90e3};
  m.solid = {.friction = 0.1, .yield_T_zero = 430, .softening = 400};
  t.feeds = {{.material = m, .rate = 5.0 / 3600}};
  t.screw_speed = 220.0 / 60;
  t.numerics.cells = 240;
  return t;
}

}  // namespace quern
