#pragma once
// Elements that several tests solve, and one strip that closed forms answer.
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <utility>
#include <vector>

#include "flow/strip_flow.hpp"
#include "flow/thinning_flow.hpp"
namespace quern {

/// Two starts, diameter ratio 1.55; D = 1.
inline ElementShape section_example(double tip_gap, double screw_gap) {
  ElementShape s;
  s.bore = 1 + 2 * tip_gap, s.centre = (1 + 1 / 1.55) / 2 + screw_gap, s.screw_gap = screw_gap;
  return s;
}

inline ElementShape conveying_example(double lead, double tip_gap = 0.005, double screw_gap = 0.01) {
  ElementShape s = section_example(tip_gap, screw_gap);
  s.lead = lead;
  return s;
}

/// Five discs. @param degrees of stagger; beyond 90 they convey backwards
inline ElementShape kneading_example(double degrees, double width = 0.2, double tip_gap = 0.005,
                                     double screw_gap = 0.01) {
  ElementShape s = section_example(tip_gap, screw_gap);
  s.kind = ElementKind::kneading, s.lead = 0, s.discs = 5, s.disc_width = width;
  s.stagger = degrees * boost::math::constants::degree<double>();
  return s;
}

/// Tips worn down to the root: round shafts in a bore of 1.001, the same gap everywhere.
inline ElementShape round_example(double gap) {
  ElementShape s;
  s.bore = 1.001, s.screw_gap = 1e-4;
  s.centre = 0.5 + (s.bore / 2 - 0.999 * gap) + s.screw_gap;
  s.wear = gap - 0.0005;
  return s;
}

/// Lubrication as in textbooks: flat walls, no corrections.
constexpr StripModel flat{.slopes = false, .curvature = false, .disc_edges = false};

inline StripModel joined(StripModel model, StripModel::Join join) {
  model.join = join;
  return model;
}

/// Newtonian flow, mean over a turn.
struct MeanFlow {
  double A1 = 0, B = 0, c = 0, nip = 0;
};

inline MeanFlow mean_flow(const ElementShape& shape, const StripGrid& grid, const StripModel& model, Run run,
                          int turns = 12) {
  const StripFields fields(shape, grid, model, run);
  StripSolver solver(fields.topology());
  const std::vector<double> angles = turns_of(shape, run, turns);
  MeanFlow mean;
  for (const double turn : angles) {
    const StripFlow flow = strip_flow(fields.at(turn), solver);
    const double share = 1.0 / static_cast<double>(angles.size());
    mean.A1 += share * flow.throughput, mean.B += share * flow.passage, mean.c += share * flow.power;
    mean.nip += share * flow.nip_power;
  }
  return mean;
}

/// One screw alone in a round bore, endless: a ring of cells. The gap is a Lobe or has its members; a negative lead
/// winds the flights to the other hand.
template <class Gap>
StripField ring_example(const Gap& gap, double bore_radius, double lead, int starts, int across, int rows) {
  constexpr double pi = boost::math::constants::pi<double>();
  StripField f;
  f.topology = {.rows = rows, .periodic = true, .junctions = 1, .strands = {{0, 0, across - 1}}};
  f.length = std::abs(lead) / starts, f.row = f.length / rows;
  f.lobe_links = across, f.lobe_speed = gap.speed();
  const auto size = static_cast<std::size_t>(across * rows);
  for (auto* v : {&f.conductance, &f.drag, &f.drag_loss, &f.shear, &f.tip_shear, &f.depth, &f.area, &f.along, &f.axial,
                  &f.before, &f.after, &f.source})
    v->assign(size, 0.0);
  const double step = 2 * pi / across, turned = 2 * pi * f.row / lead, share = f.row / 2;
  const auto ends = f.topology.link_ends();
  for (int l = 0; l < across; ++l)
    for (int k = 0; k < rows; ++k) {
      const auto i = static_cast<std::size_t>(l * rows + k);
      for (const double z : {k + 0.25, k + 0.75}) {
        const double from = l * step + turned * z;
        const auto s = gap.between(from, from + step);
        f.conductance[i] += share / (bore_radius * s.resistance), f.drag[i] += share * s.drag / s.resistance;
        f.drag_loss[i] += share * bore_radius * (s.drag_square - s.drag * s.drag / s.resistance);
        f.shear[i] += share * bore_radius * s.shear, f.depth[i] += gap.depth(from + step / 2) / 2;
      }
      f.area[i] = f.row * step * bore_radius;
      for (const auto& [column, part] : {std::pair{ends[static_cast<std::size_t>(l)].from, 0.25},
                                         std::pair{ends[static_cast<std::size_t>(l)].to, 0.75}}) {
        const auto cell = static_cast<std::size_t>(column * rows + k);
        const double a = (l + part) * step + turned * (k + 0.5), b = a - turned / 2;
        f.along[cell] += step / 2 * bore_radius * turned / (gap.between(a, a + turned).resistance_axial * f.row);
        f.axial[cell] += step / 2 * bore_radius * turned / gap.between(b, b + turned).resistance_axial;
      }
    }
  return f;
}

}  // namespace quern
