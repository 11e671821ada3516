#pragma once
#include <cmath>
#include <numbers>
#include <random>

#include "io/material_library.hpp"
#include "machine/solve.hpp"

namespace quern {

/// Valid trials drawn at random over machines, screws, materials and settings: what a lab could own and set.
class RandomTrial {
 public:
  explicit RandomTrial(std::uint64_t seed) : random_(seed) {}

  Trial draw() {
    Trial t;
    draw_machine(t);
    draw_screw(t);
    draw_feeds(t);
    t.screw_speed = between(0.08, 1.0) * t.machine.drive.speed_max;
    t.numerics.cells = 150;
    return t;
  }

  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }
  int whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(random_); }
  bool chance(double share) { return between(0, 1) < share; }

 private:
  std::mt19937_64 random_;

  const Material& polymer() {
    const auto& library = material_library();
    for (;;) {
      const Material& m = library[static_cast<std::size_t>(whole(0, static_cast<int>(library.size()) - 1))];
      if (m.state != State::filler) return m;
    }
  }
  const Material& filler() {
    const auto& library = material_library();
    for (;;) {
      const Material& m = library[static_cast<std::size_t>(whole(0, static_cast<int>(library.size()) - 1))];
      if (m.state == State::filler) return m;
    }
  }

  void draw_machine(Trial& t) {
    Machine& m = t.machine;
    const double D = between(0.016, 0.1), ratio = between(1.43, 1.9);
    m.section.starts = 2;
    m.section.screw_diameter = D;
    m.section.barrel_bore = D * (1 + 2 * between(0.003, 0.012));
    m.section.screw_gap = D * between(0.004, 0.02);
    m.section.centre_distance = D * (1 + 1 / ratio) / 2 + m.section.screw_gap;
    m.pressure_max = 1.5e7;
    m.drive = {between(3e3, 2e5), between(4, 20), between(50, 3000), 0.93, 200, 5};
    const int zones = whole(3, 10);
    const double length = 4 * D;
    for (int i = 0; i < zones; ++i) {
      Zone zone;
      zone.name = "zone " + std::to_string(i);
      zone.length = length;
      zone.port = i == 0 ? Port::feed : (i == zones - 2 && chance(0.3)) ? Port::vent : Port::none;
      zone.cooling = Cooling::water;
      if (i > 0) zone.heating = 2000;
      m.zones.push_back(zone);
    }
    m.shaft_length = zones * length;
    const int mode = whole(0, 2);  // melt, chilled, combined
    m.chiller = Chiller{0.4, {{263.15, 5e3}, {283.15, 9e3}}, std::nullopt};
    for (int i = 0; i < zones; ++i) {
      const bool cold = mode == 1 || (mode == 2 && i < zones / 2);
      if (cold && i > 0) m.zones[static_cast<std::size_t>(i)].cooling = Cooling::chiller;
      t.zone_temperature.push_back(i == 0 ? 290 : cold ? between(263, 288) : between(400, 540));
    }
    if (mode != 1 && chance(0.9)) {
      Die die;
      die.kind = static_cast<Die::Kind>(whole(0, 2));
      die.count = whole(1, 4);
      die.diameter = between(0.05, 0.2) * D, die.land = between(0.1, 0.6) * D, die.core = 0.5 * die.diameter;
      die.width = D * between(0.5, 2), die.height = 0.04 * D, die.temperature = 480;
      m.die = die;
    }
  }

  void draw_screw(Trial& t) {
    const double D = t.machine.section.screw_diameter;
    double left = t.machine.shaft_length;
    const auto add = [&](Element e) {
      e.starts = 2;
      if (e.length > left - 0.5 * D) return;
      left -= e.length;
      t.screw.elements.push_back(e);
    };
    for (int i = 0; i < 2; ++i) add({.kind = ElementKind::conveying, .length = 1.5 * D, .lead = 1.5 * D});
    while (left > 3 * D) {
      Element e;
      const int kind = whole(0, 9);
      if (kind < 6) e = {.kind = ElementKind::conveying, .length = D * between(0.5, 1.5), .lead = D * between(0.75, 2)};
      else if (kind < 9) {
        const double staggers[] = {30, 45, 60, 90};
        e = {.kind = ElementKind::kneading,
             .length = D * between(0.5, 1.5),
             .discs = whole(3, 7),
             .stagger = staggers[whole(0, 3)] * std::numbers::pi / 180};
      } else {
        e = {.kind = ElementKind::conveying, .length = 0.5 * D, .lead = D};
      }
      if (kind == 9 || (kind == 8 && chance(0.3))) e.hand = Hand::reverse;
      add(e);
      if (left < 3.6 * D) break;
    }
    t.screw.elements.push_back({.kind = ElementKind::conveying, .length = left, .lead = D});
    t.screw.elements.back().starts = 2;
  }

  void draw_feeds(Trial& t) {
    const double D = t.machine.section.screw_diameter;
    const double rate = 0.002 * std::pow(D / 0.03, 2.5) * between(0.1, 3);
    t.feeds.push_back({polymer(), rate, 295, std::nullopt, std::nullopt, "pellet"});
    if (chance(0.3))
      t.feeds.push_back({filler(), rate * between(0.02, 0.5), 295, std::nullopt, std::nullopt, "powder"});
    if (chance(0.2)) t.feeds.push_back({polymer(), rate * between(0.05, 1), 295, std::nullopt, std::nullopt, "pellet"});
    for (std::size_t i = 1; i < t.feeds.size(); ++i)
      if ((t.feeds[i].material.state == State::liquid) != (t.feeds[0].material.state == State::liquid))
        t.feeds.resize(i);
  }
};

}  // namespace quern
