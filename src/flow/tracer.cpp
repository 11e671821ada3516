#include "flow/tracer.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>

namespace quern {
namespace {

double uniform(TracerWalk::Random& random) { return static_cast<double>(random() >> 11) * 0x1.0p-53; }
double between(const double (&ends)[2], double x) { return (1 - x) * ends[0] + x * ends[1]; }

/// s with 3s² - 2s³ = u.
double parabola_depth(double u) { return 0.5 - std::sin(std::asin(1 - 2 * u) / 3); }

}  // namespace

FaceProfile lobe_face(double swept, double flux) { return {0, 2 * swept + 3 * flux, -swept - 2 * flux}; }
FaceProfile nip_face(double up, double down, double net) {
  const double c = net - (up - down) / 2;
  return {up, 3 * c - (up + down) / 2, -2 * c};
}

double FaceProfile::turns_at() const {
  // Φ = a₁ + 2a₂s + 3a₃s²; in a lobe a₁ = 0, and s = 0 is a root of its own
  if (a1 == 0) return a2 * (2 * a2 + 3 * a3) < 0 ? -2 * a2 / (3 * a3) : 0;
  const double b = a2 + std::copysign(std::sqrt(std::max(0.0, a2 * a2 - 3 * a1 * a3)), a2);
  for (const double root : {-a1 / b, -b / (3 * a3)})
    if (root > 0 && root < 1) return root;
  return 0;
}

double FaceProfile::on() const {
  const double low = below(turns_at());
  return std::max(0.0, low) + std::max(0.0, below(1) - low);
}

double FaceProfile::depth_at(double share, bool forward) const {
  const double turn = turns_at();
  const bool lower = turn > 0 && (below(turn) > 0) == forward;
  double low = lower ? 0 : turn, high = lower ? turn : 1;
  const double wanted = below(low) + share * (below(high) - below(low)), sign = forward ? 1 : -1;
  for (int i = 0; i < 40; ++i) {
    const double middle = (low + high) / 2;
    (sign * (below(middle) - wanted) < 0 ? low : high) = middle;
  }
  return (low + high) / 2;
}

int TracerWalk::slot_of(int row, int interval) const {
  const int moved = field_.shift * (interval / field_.intervals);
  return ((row - moved) % field_.rows + field_.rows) % field_.rows;
}

Tracer TracerWalk::begin(Random& random) const {
  const int rounds = field_.shift > 0 ? field_.rows / field_.shift : 1, period = rounds * field_.intervals;
  Tracer t;
  t.interval = std::min(static_cast<int>(uniform(random) * period), period - 1);
  t.clock = uniform(random) * field_.duration;
  return t;
}

Tracer TracerWalk::enter(Random& random) const {
  Tracer t = begin(random);
  place_in_plane(t, inlet_is_first(), random, 0);
  return t;
}

Tracer TracerWalk::anywhere(Random& random) const {
  Tracer t = begin(random);
  t.row = std::min(static_cast<int>(uniform(random) * rows_), rows_ - 1), t.slot = slot_of(t.row, t.interval);
  const double share = t.clock / field_.duration;
  const auto volume = [&](int c) { return between(field_.at(t.interval % field_.intervals, t.slot, c).volume, share); };
  double all = 0;
  for (int c = 0; c < field_.row_cells(); ++c) all += volume(c);
  double left = uniform(random) * all;
  while (t.cell + 1 < field_.row_cells() && (left -= volume(t.cell)) > 0) ++t.cell;
  t.at.along = uniform(random), t.at.axial = uniform(random), t.at.depth = uniform(random);
  start_counting(t);
  return t;
}

/// What leaves through one of the end planes, at this time.
double TracerWalk::outflow(const Tracer& t, bool first) const {
  const int n = t.interval % field_.intervals, slot = slot_of(first ? 0 : rows_ - 1, t.interval);
  double sum = 0;
  for (int c = 0; c < field_.row_cells(); ++c)
    sum += std::max(0.0, first ? -field_.at(n, slot, c).axial[0] : field_.at(n, slot, c).axial[1]);
  return sum;
}

/// Puts the tracer where melt flows in through an end plane; false if, with `leave` flowing on beyond it, it does not
/// come in. @param leave 0: it comes in for certain
bool TracerWalk::place_in_plane(Tracer& t, bool first, Random& random, double leave) const {
  t.row = first ? 0 : rows_ - 1, t.slot = slot_of(t.row, t.interval);
  const int n = t.interval % field_.intervals;
  const auto inflow = [&](int c) {
    const TrackCell& cell = field_.at(n, t.slot, c);
    return std::max(0.0, first ? cell.axial[0] : -cell.axial[1]);
  };
  double all = 0;
  for (int c = 0; c < field_.row_cells(); ++c) all += inflow(c);
  double left = uniform(random) * (leave > 0 ? leave : all);
  if (left >= all) return false;
  t.cell = 0;
  while (t.cell + 1 < field_.row_cells() && (left -= inflow(t.cell)) > 0) ++t.cell;
  t.at.along = uniform(random), t.at.axial = first ? 0 : 1, t.at.depth = parabola_depth(uniform(random));
  start_counting(t);
  return true;
}

namespace {

/// Flows along, along the axis and through the depth, per unit of each coordinate but not yet over the volume.
struct Rates {
  double along, axial, depth;
  double change;  ///< how fast they change themselves
};

Rates lobe_rates(const TrackCell& c, const CellPoint& p) {
  const double s = p.depth, drag = s * (4 - 3 * s), parabola = 6 * s * (1 - s), swells = c.swept[1] - c.swept[0];
  return {between(c.swept, p.along) * drag + between(c.flux, p.along) * parabola, between(c.axial, p.axial) * parabola,
          swells * s * (1 - s) * (1 - s), 2 * std::abs(swells) + std::abs(c.flux[1] - c.flux[0]) * parabola};
}

Rates nip_rates(const TrackCell& c, const NipWalls& w, const CellPoint& p) {
  const double s = p.depth, parabola = 6 * s * (1 - s), up = between(w.up, p.along), down = between(w.down, p.along);
  const double net = between(c.swept, p.along) + between(c.flux, p.along);
  const double up_grows = w.up[1] - w.up[0], down_grows = w.down[1] - w.down[0], swells = c.swept[1] - c.swept[0];
  const double depth = swells * s + down_grows * s * s / 2 - up_grows * (s - s * s / 2) -
                       (swells - (up_grows - down_grows) / 2) * s * s * (3 - 2 * s);
  return {up * (1 - s) - down * s + parabola * (net - (up - down) / 2), between(c.axial, p.axial) * parabola, depth,
          std::abs(swells) + std::abs(up_grows) + std::abs(down_grows) + 2 * std::abs(c.flux[1] - c.flux[0])};
}

/// @param walls null in a lobe
Rates rates(const TrackCell& c, const NipWalls* walls, const CellPoint& p) {
  return walls ? nip_rates(c, *walls, p) : lobe_rates(c, p);
}

/// Depth in a lobe's cell whose volume has changed by a factor: ds/dV = -s(1 - s)²/V has the integral w e^w V, with
/// w = s/(1 - s), which Lambert's function inverts: a series in ln V and, where that is not enough, Newton's method.
/// @param shrunk ln of the volume before over that after
double squeezed(double s, double shrunk) {
  if (s <= 0 || s >= 1 || shrunk == 0) return s;
  const double w0 = s / (1 - s), over = 1 / (1 + w0);
  double w = w0 * std::exp(shrunk * over * (1 - shrunk * w0 * over * over / 2));
  if (std::abs(shrunk) > 0.1) {
    const double wanted = std::log(w0) + w0 + shrunk;
    for (int i = 0; i < 2; ++i) w *= (1 + wanted - std::log(w)) / (1 + w);
  }
  return w / (1 + w);
}

/// How far a step leads, the depth at its end and the place halfway.
struct Move {
  double along, axial, depth;
  CellPoint middle;
};

/// Kutta's third-order rule in ln V, so that a volume that shrinks manifold in one interval needs few steps.
/// @param V, grown of the cell at the start, and by how much of that it has grown at the end
Move move(const TrackCell& c, const NipWalls* walls, const CellPoint& p, const Rates& start, double V, double grown,
          double dt) {
  const double shrunk = -std::log1p(grown), over_volume = (std::abs(grown) < 1e-6 ? 1 : -shrunk / grown) / V * dt;
  const auto placed = [&](double along, double axial, double depth) {
    return CellPoint{p.along + over_volume * along, p.axial + over_volume * axial, std::clamp(depth, 0.0, 1.0)};
  };
  const CellPoint middle = placed(start.along / 2, start.axial / 2,
                                  walls ? p.depth + over_volume / 2 * start.depth : squeezed(p.depth, shrunk / 2));
  const Rates half = rates(c, walls, middle);
  const double last = walls ? p.depth + over_volume * (2 * half.depth - start.depth) : squeezed(p.depth, shrunk);
  const Rates end = rates(c, walls, placed(2 * half.along - start.along, 2 * half.axial - start.axial, last));
  const auto mean = [](double a, double b, double e) { return (a + 4 * b + e) / 6; };
  const double depth = walls ? p.depth + over_volume * mean(start.depth, half.depth, end.depth) : last;
  return {over_volume * mean(start.along, half.along, end.along),
          over_volume * mean(start.axial, half.axial, end.axial), std::clamp(depth, 0.0, 1.0), middle};
}

/// Which wall of the cell comes first, and after which part of the step.
struct Wall {
  enum class Kind { none, along, axial } kind = Kind::none;
  double part = 1;
  double place = 0;  ///< of the wall in the cell, 0 or 1
};

/// @param by how far it gets in the whole step @param at_first how far it would get at the rate it starts with
void meet(Wall& wall, Wall::Kind kind, double from, double at_first, double by) {
  if (from + by >= 0 && from + by <= 1) return;
  const double room = by > 0 ? 1 - from : -from;
  if (room * by <= 0 && at_first * by <= 0) return;  // it stands on a wall and sets off inwards
  // along the parabola that starts with the one rate and ends up at the other place
  const double root = std::sqrt(std::max(0.0, at_first * at_first + 4 * room * (by - at_first)));
  const double part = 2 * room / (at_first + std::copysign(root, by));
  if (part < wall.part) wall = {kind, std::max(0.0, part), by > 0 ? 1.0 : 0.0};
}

}  // namespace

double TracerWalk::shear(const TrackCell& c, const Tracer& t, const CellPoint& middle, double dt) const {
  if (field_.in_nip(t.cell)) return field_.nip_rate[field_.nip_place(t.interval % field_.intervals, t.slot, t.cell)];
  const double V = between(c.volume, (t.clock + dt / 2) / field_.duration);
  return lobe_rate(field_, t.cell, middle.depth, V, between(c.flux, middle.along), between(c.axial, middle.axial));
}

TracerWalk::Event TracerWalk::step(Tracer& t, Random& random) const {
  const int n = t.interval % field_.intervals;
  const TrackCell& c = field_.at(n, t.slot, t.cell);
  const NipWalls* walls = field_.in_nip(t.cell) ? &field_.nip_walls[field_.nip_place(n, t.slot, t.cell)] : nullptr;
  const Rates start = rates(c, walls, t.at);
  const double V = between(c.volume, t.clock / field_.duration), rest = field_.duration - t.clock;
  const double grows = (c.volume[1] - c.volume[0]) / field_.duration / V;
  const double fastest = std::max({std::abs(start.along), std::abs(start.axial), start.change}) / V;
  double dt = fastest * rest > step_ ? step_ / fastest : rest;
  const bool to_end = dt == rest;
  Move m = move(c, walls, t.at, start, V, grows * dt, dt);
  Wall wall;
  meet(wall, Wall::Kind::along, t.at.along, start.along * dt / V, m.along);
  meet(wall, Wall::Kind::axial, t.at.axial, start.axial * dt / V, m.axial);
  if (wall.kind != Wall::Kind::none) dt *= wall.part, m = move(c, walls, t.at, start, V, grows * dt, dt);

  t.strain += dt * shear(c, t, m.middle, dt);
  t.at = {std::clamp(t.at.along + m.along, 0.0, 1.0), std::clamp(t.at.axial + m.axial, 0.0, 1.0), m.depth};
  t.clock += dt, t.time += dt;
  if (wall.kind == Wall::Kind::along) t.at.along = wall.place;
  if (wall.kind == Wall::Kind::axial) t.at.axial = wall.place;
  count_tips(t);
  if (wall.kind == Wall::Kind::along) cross_along(t, random);
  else if (wall.kind == Wall::Kind::axial) return cross_axial(t, random);
  else if (to_end) next_interval(t);
  return Event::moved;
}

void TracerWalk::next_interval(Tracer& t) const {
  t.clock = 0, ++t.interval;
  if (field_.shift == 0 || t.interval % field_.intervals != 0) return;
  t.slot -= field_.shift;
  if (t.slot < 0) t.slot += field_.rows;
}

void TracerWalk::cross_along(Tracer& t, Random& random) const {
  const int lobe = field_.lobe_cells, last = field_.row_cells() - 1;
  const bool on = t.at.along > 0;
  const bool upper = (t.cell == 0 && !on) || (t.cell == 2 * lobe - 1 && on) || (t.cell == last && on);
  const bool lower = (t.cell == lobe - 1 && on) || (t.cell == lobe && !on) || (t.cell == 2 * lobe && !on);
  if (upper || lower) return pass_cusp(t, upper ? 0 : 1, random);
  t.cell += on ? 1 : -1, t.at.along = on ? 0 : 1;
}

/// Into one of the strands that meet at a cusp, in proportion to the flow into each.
void TracerWalk::pass_cusp(Tracer& t, int cusp, Random& random) const {
  const int lobe = field_.lobe_cells, n = t.interval % field_.intervals;
  const int starting = cusp == 0 ? 0 : lobe, ending = cusp == 0 ? 2 * lobe - 1 : lobe - 1;
  const int nip = cusp == 0 ? field_.row_cells() - 1 : 2 * lobe;
  const auto face = [&](int c, std::size_t end) {
    const TrackCell& cell = field_.at(n, t.slot, c);
    return lobe_face(cell.swept[end], cell.flux[end]);
  };
  const std::size_t end = cusp == 0 ? 1 : 0;
  const TrackCell& cell = field_.at(n, t.slot, nip);
  const NipWalls& walls = field_.nip_walls[field_.nip_place(n, t.slot, nip)];
  const FaceProfile onward = face(starting, 0), backward = face(ending, 1),
                    across = nip_face(walls.up[end], walls.down[end], cell.swept[end] + cell.flux[end]);
  const std::array<double, 3> into{onward.on(), backward.back(), cusp == 0 ? across.back() : across.on()};
  const double left = uniform(random) * (into[0] + into[1] + into[2]), depth = uniform(random);
  if (left < into[0]) t.cell = starting, t.at.along = 0, t.at.depth = onward.depth_at(depth, true);
  else if (left < into[0] + into[1]) t.cell = ending, t.at.along = 1, t.at.depth = backward.depth_at(depth, false);
  else t.cell = nip, t.at.along = cusp == 0 ? 1 : 0, t.at.depth = across.depth_at(depth, cusp != 0);
  start_counting(t);
}

TracerWalk::Event TracerWalk::cross_axial(Tracer& t, Random& random) const {
  const bool on = t.at.axial > 0;
  if (t.row == (on ? rows_ - 1 : 0)) {
    const bool inlet = on != inlet_is_first();
    // the inlet gives back all it takes; the outlet only what flows back of all that flows out
    const bool stays = place_in_plane(t, !on, random, inlet ? 0 : outflow(t, !on));
    return stays ? Event::moved : Event::left;
  }
  const int step = on ? 1 : -1;
  t.row += step, t.slot = (t.slot + step + field_.rows) % field_.rows, t.at.axial = on ? 0 : 1;
  if (field_.rows_per_disc > 0) start_counting(t);
  return Event::moved;
}

namespace {
double period_of(const TrackField& f, const Tracer& t) {
  const double turns = t.interval * f.duration + t.clock;
  const double row = f.rows_per_disc > 0 ? t.row : t.row + t.at.axial;
  const double angle = f.profile_angle(t.cell, t.at.along, row, turns);
  return std::floor(angle * f.starts / (2 * boost::math::constants::pi<double>()));
}
}  // namespace

void TracerWalk::start_counting(Tracer& t) const {
  if (!field_.in_nip(t.cell)) t.tip = period_of(field_, t);
}

/// The screw overtakes what lags behind it: a tip has passed when the profile angle falls through a tip's centre.
void TracerWalk::count_tips(Tracer& t) const {
  if (field_.in_nip(t.cell)) return;
  const double now = period_of(field_, t);
  if (now < t.tip) t.was_over_tip = true;
  t.passes += static_cast<int>(t.tip - now);
  t.tip = now;
}

}  // namespace quern
