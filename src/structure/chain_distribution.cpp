#include "structure/chain_distribution.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/error.hpp"

namespace quern {
namespace {

double spacing(const ChainGrid& grid) { return std::log(10.0) / grid.per_decade; }

void refuse_bad(const ChainGrid& grid, double Mn, double dispersity) {
  std::vector<Fault> faults;
  const auto fault = [&](const char* field, double value, const char* right) {
    Fault f;
    f.field = field, f.wrong = std::to_string(value), f.right = right;
    faults.push_back(f);
  };
  if (!(grid.lowest > 1e-4 && grid.lowest < 10))
    fault("chains.repeat", grid.lowest, "a repeat unit between 0.0001 and 10 kg/mol, for example 0.04208");
  if (!(grid.highest > 100 * grid.lowest && grid.highest < 1e9))
    fault("chains.highest", grid.highest, "a highest class of at least a hundred repeat units");
  if (grid.per_decade < 2 || grid.per_decade > 500)
    fault("chains.per_decade", grid.per_decade, "2 to 500 classes a decade");
  if (!(Mn > 3 * grid.lowest && Mn < grid.highest))
    fault("chains.Mn", Mn, "a number average between three repeat units and the highest class, for example 50 kg/mol");
  if (!(dispersity >= 1 && dispersity <= 50)) fault("chains.dispersity", dispersity, "a dispersity between 1 and 50");
  if (!faults.empty()) throw InputError(faults);
}

ChainDistribution empty_classes(const ChainGrid& grid) {
  ChainDistribution d;
  d.lowest = grid.lowest, d.ratio = std::exp(spacing(grid));
  d.mass.resize(static_cast<std::size_t>(std::ceil(std::log(grid.highest / grid.lowest) / spacing(grid))) + 1);
  return d;
}

void normalise(std::vector<double>& mass) {
  const double sum = std::accumulate(mass.begin(), mass.end(), 0.0);
  for (double& m : mass) m /= sum;
}

/// Classes with the law's mass per ln M; chains that are missing, shorter than a repeat unit, go to the first class.
template <class Log>
ChainDistribution read_off(const ChainGrid& grid, double Mn, Log log_of_mass) {
  ChainDistribution d = empty_classes(grid);
  const std::vector<double> M = molar_masses(d);
  for (std::size_t i = 0; i < M.size(); ++i) d.mass[i] = std::exp(log_of_mass(M[i] / Mn));
  normalise(d.mass);
  const double missing = 1 / Mn - 1 / averages(d).Mn;
  const double added = missing / (1 / M[0] - 1 / averages(d).Mn);  // share of one repeat unit's chains that mends it
  if (added > 0) {
    for (double& m : d.mass) m *= 1 - added;
    d.mass[0] += added;
  }
  return d;
}

bool is_narrow(const ChainGrid& grid, double dispersity) { return std::log(dispersity) < std::pow(spacing(grid), 2); }

struct Shrinking {
  double second, third;
};

/// g2(s) and g3(s) of the header; as series where their closed forms cancel.
Shrinking shrinking(double s) {
  if (s > 1) {
    const double e = std::exp(-s);
    return {2 * (e - 1 + s) / (s * s), 6 * (s - 2 + (s + 2) * e) / (s * s * s)};
  }
  Shrinking g{0, 0};
  double term = 0.5;  // (-s)^k/(k + 2)!
  for (int k = 0; k < 25; ++k) {
    g.second += 2 * term;
    g.third += 6 * term * (k + 1) / (k + 3);
    term *= -s / (k + 3);
  }
  return g;
}

}  // namespace

std::vector<double> molar_masses(const ChainDistribution& d) {
  std::vector<double> M(d.mass.size());
  for (std::size_t i = 0; i < M.size(); ++i) M[i] = d.lowest * std::pow(d.ratio, static_cast<double>(i));
  return M;
}

ChainAverages averages(const ChainDistribution& d) { return after_random_scission(d, 0); }

ChainDistribution log_normal_chains(const ChainGrid& grid, double Mn, double dispersity) {
  refuse_bad(grid, Mn, dispersity);
  if (is_narrow(grid, dispersity)) return equal_chains(grid, Mn);
  const double variance = std::log(dispersity);
  return read_off(grid, Mn, [=](double x) { return -std::pow(std::log(x) - variance / 2, 2) / (2 * variance); });
}

ChainDistribution schulz_chains(const ChainGrid& grid, double Mn, double dispersity) {
  refuse_bad(grid, Mn, dispersity);
  if (is_narrow(grid, dispersity)) return equal_chains(grid, Mn);
  const double a = 1 / (dispersity - 1);
  return read_off(grid, Mn, [=](double x) { return (a + 1) * std::log(x) - a * (x - 1); });
}

ChainDistribution equal_chains(const ChainGrid& grid, double M) {
  refuse_bad(grid, M, 1);
  ChainDistribution d = empty_classes(grid);
  const double at =
      std::min(std::round(std::log(M / grid.lowest) / spacing(grid)), static_cast<double>(d.mass.size() - 1));
  d.lowest = M / std::pow(d.ratio, at);
  d.mass[static_cast<std::size_t>(at)] = 1;
  return d;
}

ChainAverages after_random_scission(const ChainDistribution& d, double scissions) {
  double number = scissions, first = 0, second = 0, M = d.lowest;
  for (const double w : d.mass) {
    const Shrinking g = shrinking(scissions * M);
    number += w / M, first += w * M * g.second, second += w * M * M * g.third;
    M *= d.ratio;
  }
  return {1 / number, first, second / first};
}

double mass_towards_limit(double M, double limit, double k, double energy) {
  return limit + (M - limit) * std::exp(-k * energy);
}

double viscosity_factor(double Mw, double Mw_before, double critical) {
  const auto eta = [critical](double M) { return M > critical ? std::pow(M / critical, 3.4) : M / critical; };
  return eta(Mw) / eta(Mw_before);
}

double flow_rate_factor(double Mw, double Mw_before, double critical) {
  return viscosity_factor(Mw_before, Mw, critical);
}

}  // namespace quern
