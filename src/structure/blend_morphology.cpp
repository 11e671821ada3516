#include "structure/blend_morphology.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "structure/drop_breakup.hpp"

namespace quern {
namespace {

using std::numbers::pi;

// In the order of BlendParameters.
constexpr Coefficient list[] = {
    {"interfacial_tension", Kind::ratio, 5, 0.05, 100, "mN/m", 1.0,
     "uncalibrated: 1 to 10 mN/m for most pairs without compatibilizer, value from memory; a compatibilizer divides it",
     "interfacial tension between the two melts, as a bare number in mN/m", false},
    {"stretching_efficiency", Kind::ratio, 0.05, 0, 1, "1", 0.7,
     "uncalibrated: 0.01 for steady shear of 500, 0.3 for shear turned over at every step: Ottino (1989), The "
     "Kinematics of Mixing, value from memory",
     "share of the strain that draws threads out", false},
    {"elongation_share", Kind::ratio, 0, 0, 1, "1", 1.0,
     "uncalibrated: the flow between flanks is taken as shear; above 0, drops of any viscosity break",
     "share of the strain that is elongation", false},
    {"split_time_scale", Kind::ratio, 1, 0.05, 20, "1", 0.5,
     "Huneault, Shi & Utracki (1995), Polym. Eng. Sci. 35, 115, value from memory; strain over Ca or Ca* in doubt",
     "multiplies the strain in which a drop splits in two", true},
    {"stretching_onset", Kind::ratio, 4, 2, 20, "1", 0.3,
     "Huneault, Shi & Utracki (1995), Polym. Eng. Sci. 35, 115, value from memory",
     "capillary number over the critical one above which a drop is drawn out instead of splitting", true},
    {"critical_film", Kind::length, 5e-9, 0.5e-9, 1e-6, "nm", 0.7,
     "Elmendorp & van der Vegt (1986), Polym. Eng. Sci. 26, 1332, value from memory",
     "thickness at which the film between two drops bursts", true},
    {"collision_scale", Kind::ratio, 1, 0, 10, "1", 0.7,
     "uncalibrated: 1 for spheres that meet as in Smoluchowski (1917); towards 0 for compatibilized blends",
     "multiplies the collisions of drops", false},
};

constexpr double finest = 1e-9;    // no radius below that of a molecule [m]
constexpr double coarsest = 10e-3; // nor do drops merge to more than a channel holds [m]
constexpr double longest = 1e12;   // strain, so that nothing overflows

// What the flow of one station, or of the tips passed in it, does to bodies: all that does not depend on their size.
struct Shear {
  double time, strain, temperature;
  double stretch;          // of a thread's length per time, e γ̇ [1/s]
  double split_strain;     // to split at Ca* = 1
  double critical_radius;  // Ca* = R over this [m]; infinite where nothing breaks
  double capillary;        // Ca per radius [1/m]
  double lambda, speed;    // λ; Γ/ηc [m/s]
};

constexpr double steepness = 0.441;  // of the splitting strain over Ca*

double sphere(double radius) { return 4 * pi / 3 * radius * radius * radius; }

Shear shear_of(double time, double rate, double T, const PhaseViscosities& eta, const BlendParameters& p) {
  const double lambda = eta.drops / eta.matrix, capillary = eta.matrix * rate / p.tension;
  const std::optional<double> in_shear = critical_capillary_shear(lambda);
  const double breaking =
      std::max(in_shear ? 1 / *in_shear : 0.0, p.elongation_share / critical_capillary_elongation(lambda));
  const double critical = breaking > 0 ? 1 / (capillary * breaking) : std::numeric_limits<double>::infinity();
  return {.time = time,
          .strain = std::min(rate * time, longest),
          .temperature = std::max(T, 1.0),
          .stretch = p.stretching * rate,
          .split_strain = p.split_time_scale * split_time(lambda, 1),
          .critical_radius = std::max(finest, critical),
          .capillary = capillary,
          .lambda = lambda,
          .speed = p.tension / eta.matrix};
}

// The same volume in bodies of another size.
void divide(Dispersed& d, double volume) {
  d.number *= d.volume / volume;
  d.volume = volume;
}

void set_drop_radius(Dispersed& d, double radius) {
  divide(d, sphere(radius));
  d.radius = radius;
  d.diameter = 2 * radius;
  d.growth = 0;
  d.thread = false;
}

double drop_radius(const Dispersed& d) { return std::cbrt(3 * d.volume / (4 * pi)); }

// A thread falls into drops, never larger than the one it was drawn from.
void fall_apart(Dispersed& d, double drop_ratio) {
  set_drop_radius(d, std::min(drop_ratio * d.radius, drop_radius(d)));
}

// --- threads --------------------------------------------------------------------------------------------------------

void thin(Dispersed& d, double time, const Shear& s) { d.radius *= std::exp(-s.stretch / 2 * time); }

// Stretches a thread until its drops would have Ca* = onset. Returns the time left.
double stretch_to_onset(Dispersed& d, double time, const Shear& s, double onset, double drop_ratio) {
  const double wanted = onset * s.critical_radius / drop_ratio;
  const double needed = d.radius > wanted ? 2 / s.stretch * std::log(d.radius / wanted) : 0;
  if (needed > time) {
    thin(d, time, s);
    return 0;
  }
  if (needed > 0) d.radius = wanted;
  fall_apart(d, drop_ratio);
  return time - needed;
}

// Time after which ripples have grown through a thread, if that is within the time given; else that time.
// With G = e γ̇ the growth after t is A + q (e^(Gt/2) - 1)/(G/2), q that at first; it rises, convex, and the bar
// ln(0.81 r/α0) - Gt/2 falls, so Newton from the right comes down on the root without overshooting.
struct Ripples {
  double at_first, speed, bar, half_stretch;
  double growth(double t) const {
    return at_first + speed * (half_stretch * t > 1e-12 ? std::expm1(half_stretch * t) / half_stretch : t);
  }
  double excess(double t) const { return growth(t) - bar + half_stretch * t; }
  double slope(double t) const { return speed * std::exp(half_stretch * t) + half_stretch; }
};

double time_to_break(const Ripples& ripples, double limit) {
  if (ripples.excess(0) >= 0) return 0;
  const double thinned_to_nothing = ripples.half_stretch > 0 ? ripples.bar / ripples.half_stretch : limit;
  double t = std::min(limit, thinned_to_nothing);
  for (int i = 0; i < 100; ++i) {
    const double step = ripples.excess(t) / ripples.slope(t);
    if (!(step > 1e-12 * t)) break;
    t -= step;
  }
  return std::clamp(t, 0.0, limit);
}

// Stretches a thread until its ripples break it. Returns the time left.
double stretch_to_break(Dispersed& d, double time, const Shear& s, const ThreadBreakup& fastest, double tension) {
  const double bar = std::log(0.81 * d.radius / thermal_ripple(s.temperature, tension));
  const Ripples ripples{d.growth, s.speed * fastest.growth / (2 * d.radius), bar, s.stretch / 2};
  const double needed = time_to_break(ripples, time);
  d.growth = ripples.growth(needed);
  thin(d, needed, s);
  if (needed < time || ripples.excess(time) >= 0) fall_apart(d, fastest.drop_ratio());
  return time - needed;
}

// --- drops ----------------------------------------------------------------------------------------------------------

// Ca* at which drops neither split nor merge: 1 where merging is the weaker there, at most the onset of stretching.
// The logarithm of merging over splitting, g(v = ln Ca*) = g0 + 0.441 v - y (e^2.5v - 1), is concave with g(0) > 0, so
// Newton from the right comes down on the root.
double balance(const Shear& s, double merging_rate, double y, double onset) {
  const double g0 = std::log(merging_rate * 3 * s.split_strain / std::numbers::ln2) - y;
  if (!(g0 > 0)) return 1;
  const double most = std::log(onset), above = std::log1p((g0 + steepness * most) / y) / 2.5;
  double v = std::min(most, above);
  for (int i = 0; i < 50; ++i) {
    const double rise = std::expm1(2.5 * v), excess = g0 + steepness * v - y * rise;
    if (!(excess < -1e-12)) break;  // at once, where merging is the stronger up to the onset
    v -= excess / (steepness - 2.5 * y * (rise + 1));
  }
  return std::exp(v);
}

// du/dγ = -(ln 2/3) u^(1 - 0.441)/(strain to split at 1), u = Ca*.
double split(double u, const Shear& s) {
  const double left = std::pow(u, steepness) - steepness * std::numbers::ln2 / (3 * s.split_strain) * s.strain;
  return left > 0 ? std::pow(left, 1 / steepness) : 0;
}

void split_or_merge(Dispersed& d, const Shear& s, const BlendParameters& p) {
  if (!(s.strain > 0)) return;
  const double merging_rate = 4 / (3 * pi) * p.collisions * d.share();
  const double per_radius = std::sqrt(3.0) / 4 * s.lambda / p.film * std::pow(s.capillary, 1.5);  // y = this R^2.5
  const double y = per_radius * std::pow(d.radius, 2.5);
  const bool breaks = std::isfinite(s.critical_radius);
  const double u = d.radius / s.critical_radius;
  const double y_critical = breaks ? per_radius * std::pow(s.critical_radius, 2.5) : 0;
  const double settled = breaks ? balance(s, merging_rate, y_critical, p.stretching_onset) : 0;
  if (u > settled && breaks) {
    set_drop_radius(d, std::max(settled, split(u, s)) * s.critical_radius);
  } else if (merging_rate > 0 && y < 60) {
    const double grown = d.radius * growth_by_merging(y, 2.5 * merging_rate * s.strain);
    const double merged = std::max(d.radius, std::min(grown, coarsest));
    set_drop_radius(d, breaks ? std::min(merged, settled * s.critical_radius) : merged);
  }
}

// --- both -----------------------------------------------------------------------------------------------------------

enum class Route { stepwise, transient };

// Whether drops are coarse enough for this flow to make threads of them.
bool draws_out(const Dispersed& d, const Shear& s, const BlendParameters& p) {
  return s.stretch > 0 && d.radius > p.stretching_onset * (1 + 1e-9) * s.critical_radius;
}

// Threads first, as long as drops are drawn out again and each turn makes them finer; what time is left goes to drops.
void expose(Dispersed& d, Shear s, Route route, const BlendParameters& p) {
  if (!(s.time > 0)) return;
  const ThreadBreakup fastest = thread_breakup(s.lambda);
  const double total = s.time, rate = s.strain / s.time;
  double left = total;
  while (left > 0) {
    const double before = drop_radius(d);
    if (!d.thread && !draws_out(d, s, p)) break;
    d.thread = true;
    left = route == Route::stepwise ? stretch_to_onset(d, left, s, p.stretching_onset, fastest.drop_ratio())
                                    : stretch_to_break(d, left, s, fastest, p.tension);
    if (!d.thread && drop_radius(d) > 0.9 * before) break;
  }
  s.time = left;
  s.strain = rate * left;
  if (d.thread) d.diameter = 2 * std::min(drop_radius(d), fastest.drop_ratio() * d.radius);
  else split_or_merge(d, s, p);
}

void expose(BlendState& blend, double time, double rate, double T, const PhaseLaw& law, const BlendParameters& p) {
  if (!(time > 0)) return;
  const PhaseViscosities eta = law(T, rate);
  if (!(eta.matrix > 0) || !(eta.drops > 0)) return;
  const Shear s = shear_of(time, rate, T, eta, p);
  const bool alike = !blend.stepwise.thread && blend.stepwise == blend.transient && !draws_out(blend.stepwise, s, p);
  expose(blend.stepwise, s, Route::stepwise, p);
  if (alike) blend.transient = blend.stepwise;
  else expose(blend.transient, s, Route::transient, p);
}

}  // namespace

std::span<const Coefficient> blend_morphology_coefficients() { return list; }

BlendParameters blend_parameters(const Coefficients& c) {
  return {1e-3 * c(list[0]), c(list[1]), c(list[2]), c(list[3]), c(list[4]), c(list[5]), c(list[6])};
}

double growth_by_merging(double y0, double dose) {
  if (!(dose > 0)) return 1;
  if (y0 < 1e-12 && dose < 20) return std::exp(dose / 2.5);  // every collision merges
  // Newton in ln y from the right: Ei(e^s) is convex in s. Both starting points are above the root, the first as the
  // rate only falls as drops grow, the second as Ei(y) > e^(y/2 - 1) for y > 2.
  y0 = std::max(y0, 1e-300);
  const double wanted = std::expint(y0) + dose;
  const double far = std::max(y0, 2 + 2 * std::log1p(std::max(wanted, 0.0)));
  double s = std::min(std::log(y0) + dose * std::exp(-y0), std::log(far));
  for (int i = 0; i < 200; ++i) {
    const double y = std::exp(s), step = (std::expint(y) - wanted) * std::exp(-y);
    if (!(step > 1e-13 * std::max(1.0, std::abs(s)))) break;
    s -= step;
  }
  return std::exp(std::max(0.0, s - std::log(y0)) / 2.5);
}

BlendState blend_inlet(double share, double diameter) {
  const double radius = std::max(diameter / 2, finest), volume = sphere(radius);
  const Dispersed drops{.number = share / volume, .volume = volume, .radius = radius, .diameter = 2 * radius};
  return {drops, drops};
}

BlendState advance(const BlendState& blend, const Exposure& station, const PhaseLaw& law, const BlendParameters& p) {
  BlendState after = blend;
  const double tips = station.tip_passes * station.tip_time * station.melt_fraction;
  expose(after, tips, station.tip_rate, station.temperature, law, p);
  expose(after, station.time * station.melt_fraction - tips, station.shear_rate, station.temperature, law, p);
  return after;
}

std::vector<BlendState> advance(const BlendState& inlet, const History& history, const PhaseLaw& law,
                                const BlendParameters& p) {
  std::vector<BlendState> states;
  states.reserve(history.size());
  BlendState now = inlet;
  for (const Exposure& station : history) states.push_back(now = advance(now, station, law, p));
  return states;
}

}  // namespace quern
