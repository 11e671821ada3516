#include "flow/streamlines.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>

#include "flow/tracer.hpp"

namespace quern {
namespace {

constexpr double pi = boost::math::constants::pi<double>();

PathPoint point(const TrackField& f, const Tracer& t) {
  PathPoint p{.time = t.time, .z = (t.row + t.at.axial) * f.row, .depth = t.at.depth};
  if (f.in_nip(t.cell)) {
    const int i = t.cell - 2 * f.lobe_cells;
    const double whole = 2 * f.cell_width(2 * f.lobe_cells);
    p.strand = 2, p.along = i == 0 ? t.at.along * whole / 2 : (i - 0.5) * whole + t.at.along * f.cell_width(t.cell);
  } else {
    const double angle = f.bore_angle(t.cell, t.at.along);
    p.strand = t.cell / f.lobe_cells, p.along = (angle - f.cusp_angle) * f.bore_radius;
    p.screw_angle = angle - 2 * pi * (t.interval * f.duration + t.clock);
  }
  return p;
}

}  // namespace

std::vector<Streamline> streamlines(const ElementShape& shape, const StripGrid& grid, double throughput,
                                    const Tracking& tracking) {
  check_tracking(shape, throughput, tracking);
  const TrackField field =
      track_field(shape, grid, {.run = tracking.run, .throughput = throughput, .turns = tracking.turns});
  const int rows = field.rows_of(tracking.length);
  const double longest = tracking.longest * field.volume_per_length() * rows * field.row / std::abs(throughput);
  const TracerWalk walk(field, rows, tracking.step);
  TracerWalk::Random random(tracking.seed);
  std::vector<Streamline> paths(static_cast<std::size_t>(tracking.particles));
  for (Streamline& path : paths) {
    Tracer t = walk.enter(random);
    path.push_back(point(field, t));
    for (auto event = TracerWalk::Event::moved; event != TracerWalk::Event::left && t.time < longest;) {
      event = walk.step(t, random);
      path.push_back(point(field, t));
    }
  }
  return paths;
}

}  // namespace quern
