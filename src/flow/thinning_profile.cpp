#include "flow/thinning_profile.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstring>
#include <numbers>

#include "base/pack.hpp"

namespace quern {
namespace {

constexpr int lanes = 8, most_depths = 16;
constexpr double least_depth = 1e-12, largest_rate_squared = 1e30;
using Lanes = Pack<lanes>;
typedef float LanesKept __attribute__((vector_size(4 * lanes)));

std::size_t size(int n) { return static_cast<std::size_t>(n); }

/// Node and weight of the k-th point on [-1, 1]: Newton on the Legendre polynomial from Tricomi's estimate.
std::array<double, 2> gauss_point(int points, int k) {
  const auto degree = static_cast<unsigned>(points);
  double x = std::cos(std::numbers::pi * (k + 0.75) / (points + 0.5)), slope = 1;
  for (int i = 0; i < 8; ++i) {
    slope = points * (std::legendre(degree - 1, x) - x * std::legendre(degree, x)) / (1 - x * x);
    x -= std::legendre(degree, x) / slope;
  }
  return {x, 2 / ((1 - x * x) * slope * slope)};
}

/// ln(η/η0) of the squared rate, constants hoisted.
struct LogViscosity {
  double half_a, shift, exponent, least, solvent, lambda_squared;
  bool plateau, squares;

  explicit LogViscosity(const ThinningLaw& law)
      : half_a(law.yasuda / 2),
        shift(law.lambda > 0 ? law.yasuda * std::log(law.lambda) : 0),
        exponent(law.lambda > 0 ? (law.n - 1) / law.yasuda : 0),
        least(law.least_rate * law.least_rate),
        solvent(law.eta_inf / law.eta0),
        lambda_squared(law.lambda * law.lambda),
        plateau(law.plateau),
        squares(law.yasuda == 2) {}

  template <class V>
  V operator()(const V& rate_squared) const {
    const V thinned = exponent * log_bracket(V(rate_squared + least));
    return solvent > 0 ? vlog(V(vexp(thinned) + solvent)) : thinned;
  }

  /// ln[c + (λ²r²)^(a/2)], without a power for the common a = 2.
  template <class V>
  V log_bracket(const V& r_squared) const {
    if (plateau && squares) return vlog(V(lambda_squared * r_squared + 1.0));
    const V u = half_a * vlog(r_squared) + shift;
    return plateau ? vlog(V(vexp(u) + 1.0)) : u;
  }
};

/// What stands at the Gauss points of one group of columns.
template <class V>
using Profile = std::array<V, most_depths>;

/// Depths scaled by h, viscosities by η0.
template <class V>
struct Integrals {
  V fluidity;  ///< η0 F0/h
  V centre;    ///< F1/(h F0)
  V spread;    ///< η0 F2/h³
};

/// Stress as a rate: τ/η0 = (slide + gx (s - centre), gz (s - centre)), s = y/h.
template <class V>
struct Stress {
  V slide, gx, gz, centre;
  V squared(double s) const {
    const V arm = s - centre, x = slide + gx * arm, z = gz * arm;
    return x * x + z * z;
  }
};

template <class V>
Stress<V> stress(const V& depth, const V& speed, const V& p_x, const V& p_z, double eta0, const Integrals<V>& sums) {
  const V h = vmax(depth, all<V>(least_depth)), scale = h * (1 / eta0);
  return {speed / (h * sums.fluidity), p_x * scale, p_z * scale, sums.centre};
}

/// Gauss-Legendre rule on [0, 1].
struct Rule {
  std::span<const double> depth, weight;

  template <class V>
  Integrals<V> integrals(const Profile<V>& fluidity) const {
    V zeroth{}, first{}, second{};
    for (std::size_t j = 0; j < depth.size(); ++j) {
      const V f = weight[j] * fluidity[j];
      zeroth += f, first += depth[j] * f;
    }
    const V centre = first / zeroth;
    for (std::size_t j = 0; j < depth.size(); ++j) {
      const V arm = depth[j] - centre;
      second += weight[j] * fluidity[j] * (arm * arm);
    }
    return {zeroth, centre, second};
  }
};

/// Values of eight columns; beyond the end the last one again.
Lanes load(std::span<const double> values, std::size_t first) {
  Lanes v{};
  if (first + lanes <= values.size()) std::memcpy(&v, &values[first], sizeof v);
  else
    for (int i = 0; i < lanes; ++i) v[i] = values[std::min(first + size(i), values.size() - 1)];
  return v;
}

void store(std::span<double> values, std::size_t first, const Lanes& v) {
  std::memcpy(&values[first], &v, std::min(size(lanes), values.size() - first) * sizeof(double));
}

void store(const ColumnFlow& flow, std::size_t first, double eta0, const Integrals<Lanes>& sums) {
  store(flow.mobility, first, sums.spread * (12 / eta0));
  store(flow.drag, first, 2.0 - 2.0 * sums.centre);
  store(flow.wall, first, eta0 / sums.fluidity);
}

Lanes kept(const float* state) {
  LanesKept v;
  std::memcpy(&v, state, sizeof v);
  return __builtin_convertvector(v, Lanes);
}

void keep(float* state, const Lanes& log_eta) {
  const LanesKept v = __builtin_convertvector(log_eta, LanesKept);
  std::memcpy(state, &v, sizeof v);
}

Profile<Lanes> fluidities(const float* group, std::size_t depths) {
  Profile<Lanes> f;
  for (std::size_t j = 0; j < depths; ++j) f[j] = vexp(Lanes(-kept(group + j * lanes)));
  return f;
}

/// One Picard pass of a group: γ̇ = τ/η_old, η(γ̇) kept in `next`.
void picard(const LogViscosity& law, const Rule& rule, const Stress<Lanes>& tau, const Profile<Lanes>& fluidity,
            float* next) {
  for (std::size_t j = 0; j < rule.depth.size(); ++j) {
    const Lanes rate_squared = tau.squared(rule.depth[j]) * (fluidity[j] * fluidity[j]);
    keep(next + j * lanes, law(vmin(rate_squared, all<Lanes>(largest_rate_squared))));
  }
}

Stress<Lanes> stress(const ColumnLoads& loads, std::size_t first, double eta0, const Integrals<Lanes>& sums) {
  return stress(load(loads.depth, first), load(loads.speed, first), load(loads.p_x, first), load(loads.p_z, first),
                eta0, sums);
}

}  // namespace

ThinningLaw thinning_law(const Viscosity& melt, double T, double p) {
  Viscosity shift = melt;  // as a Newtonian liquid of 1 Pa s it is nothing but its shift
  shift.eta0 = 1, shift.eta_inf = 0, shift.n = 1;
  const double a = viscosity(shift, 0, T, p);
  ThinningLaw law{.eta0 = (melt.eta0 - melt.eta_inf) * a,
                  .eta_inf = melt.eta_inf,
                  .lambda = melt.superposition ? melt.lambda * a : melt.lambda,
                  .yasuda = melt.yasuda,
                  .n = melt.n,
                  .plateau = melt.plateau};
  if (law.eta0 <= 0) law = {.eta0 = melt.eta_inf};
  return law;
}

double viscosity(const ThinningLaw& law, double rate) {
  return law.eta0 * std::exp(LogViscosity(law)(std::min(rate * rate, largest_rate_squared)));
}

double rate_at_stress(const ThinningLaw& law, double stress) {
  if (!(stress > 0)) return 0;
  // d ln τ/d ln γ̇ lies between n and 1: steps of 2/(1 + n) times the gap in ln τ shrink it by (1 - n)/(1 + n) at least
  double rate = stress / (law.eta0 + law.eta_inf);
  for (int i = 0; i < 200; ++i) {
    const double step = 2 / (1 + law.n) * std::log(stress / (viscosity(law, rate) * rate));
    rate *= std::exp(step);
    if (!(std::abs(step) > 1e-12)) break;
  }
  return rate;
}

ThinningProfiles::ThinningProfiles(int columns, const ThinningLaw& law, int depths)
    : columns_(columns), law_(law), depth_(size(depths)), weight_(size(depths)) {
  assert(columns >= 0 && depths >= 2 && depths <= most_depths && law.eta0 > 0);
  for (int k = 0; k < depths; ++k) {
    const auto [x, w] = gauss_point(depths, k);
    depth_[size(k)] = (1 - x) / 2, weight_[size(k)] = w / 2;
  }
  const auto groups = size((columns + lanes - 1) / lanes);
  state_.assign(groups * size(depths) * lanes, static_cast<float>(std::log1p(law.eta_inf / law.eta0)));
}

void ThinningProfiles::update(const ColumnLoads& loads, const ColumnFlow& flow) {
  const LogViscosity law(law_);
  const Rule rule{depth_, weight_};
  Lanes change = all<Lanes>(1);
  for (std::size_t first = 0; first < size(columns_); first += lanes) {
    float* group = &state_[first * depth_.size()];
    const Profile<Lanes> old = fluidities(group, depth_.size());
    const Integrals<Lanes> before = rule.integrals(old);
    picard(law, rule, stress(loads, first, law_.eta0, before), old, group);
    const Integrals<Lanes> after = rule.integrals(fluidities(group, depth_.size()));
    store(flow, first, law_.eta0, after);
    change = vmax(change, vmax(Lanes(after.spread / before.spread), Lanes(before.spread / after.spread)));
  }
  largest_change_ = 0;
  for (int i = 0; i < lanes; ++i) largest_change_ = std::max(largest_change_, std::log(change[i]));
}

void ThinningProfiles::flow(const ColumnFlow& flow) const {
  const Rule rule{depth_, weight_};
  for (std::size_t first = 0; first < size(columns_); first += lanes)
    store(flow, first, law_.eta0, rule.integrals(fluidities(&state_[first * depth_.size()], depth_.size())));
}

void ThinningProfiles::advance(const ColumnLoads& loads, std::span<float> next) const {
  assert(next.size() == state_.size());
  const LogViscosity law(law_);
  const Rule rule{depth_, weight_};
  for (std::size_t first = 0; first < size(columns_); first += lanes) {
    const Profile<Lanes> fluidity = fluidities(&state_[first * depth_.size()], depth_.size());
    picard(law, rule, stress(loads, first, law_.eta0, rule.integrals(fluidity)), fluidity,
           &next[first * depth_.size()]);
  }
}

std::size_t ThinningProfiles::place(int column, int depth) const {
  return (size(column / lanes) * depth_.size() + size(depth)) * lanes + size(column % lanes);
}

void ThinningProfiles::start_from(const ThinningProfiles& other, std::span<const int> source) {
  assert(source.size() == size(columns_) && other.depth_.size() == depth_.size());
  std::vector<float> next(state_.size());
  const int padded = (columns_ + lanes - 1) / lanes * lanes;
  for (int i = 0; i < padded; ++i)
    for (int j = 0; j < static_cast<int>(depth_.size()); ++j)
      next[place(i, j)] = other.state_[other.place(source[size(std::min(i, columns_ - 1))], j)];
  state_ = std::move(next);
}

ColumnFigures ThinningProfiles::figures(int column, const ColumnLoad& load) const {
  assert(column >= 0 && column < columns_);
  Profile<double> fluidity;
  for (std::size_t j = 0; j < depth_.size(); ++j)
    fluidity[j] = std::exp(-double{state_[place(column, static_cast<int>(j))]});
  const Integrals<double> sums = Rule{depth_, weight_}.integrals(fluidity);
  const Stress<double> tau = stress(load.depth, load.speed, load.p_x, load.p_z, law_.eta0, sums);
  double power = 0, mean = 0, squares = 0;
  for (std::size_t j = 0; j < depth_.size(); ++j) {
    const double tau_squared = tau.squared(depth_[j]), f = fluidity[j];
    power += weight_[j] * tau_squared * f;
    mean += weight_[j] * std::sqrt(tau_squared) * f;
    squares += weight_[j] * tau_squared * f * f;
  }
  return {.dissipation = law_.eta0 * std::max(load.depth, least_depth) * power,
          .mean_rate = mean,
          .rms_rate = std::sqrt(squares),
          .barrel_rate = rate_at_stress(law_, law_.eta0 * std::sqrt(tau.squared(0)))};
}

}  // namespace quern
