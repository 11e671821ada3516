#pragma once
#include <memory>

#include "io/element_figures.hpp"
namespace quern {

/// For tests of what is written: a solution of round figures for every shape of a screw, reciprocity kept. Made up.
inline ElementLibrary made_up_library(const Trial& trial) {
  ElementLibrary library;
  for (const Element& e : trial.screw.elements) {
    if (e.kind != ElementKind::conveying && e.kind != ElementKind::kneading) continue;
    ElementSolution s;
    s.shape = shape_of(trial.machine.section, e).shape;
    s.line = {.A1 = 0.4, .B = 2e-4, .P0 = 3300, .P1 = 2000};
    if (e.kind == ElementKind::kneading) s.block = {.A1 = 0.3, .B = 3e-4, .P0 = 2800, .P1 = 1000};
    s.tip_power = 1000, s.nip_power = 500, s.face_power = 250;
    s.numerical = {0.01, 0.01, 0.01}, s.model = {0.05, 0.1, 0.1};
    s.rates = {.mean = 40, .p10 = 8, .median = 27, .p90 = 60, .p99 = 300};
    s.thinning = {{1, 1, 40, 90, 80},
                  {.index = 0.5, .throughput = 0.9, .rate_pressure = 42, .rate_consuming = 95, .rate_power = 75}};
    s.tracked = {.throughput = 0.2, .length = 1, .time = 3, .time_5 = 1.5, .time_95 = 6};
    s.tracked.mixing_length = 0.3, s.tracked.strain = 400, s.tracked.tip_passes = 1, s.tracked.over_tip = 0.6;
    library.insert(s);
  }
  return library;
}

}  // namespace quern
