#include "structure/particle_breakage.hpp"

#include <algorithm>
#include <cmath>

namespace quern {
namespace {

constexpr int least_power = -8, largest_power = 40;  // of two, of the dose q E
constexpr double reference_size = 1e-3;              // m

// All of the square is gone through, zeros too: with bounds that are known the sums stay in registers.
PerSize applied(const SizeTable& p, const PerSize& mass) {
  PerSize out{};
  for (int j = 0; j < size_classes; ++j)
    for (int i = 0; i < size_classes; ++i) out[i] += p[j][i] * mass[j];
  return out;
}

// I + A/q, A the matrix of dm/dE: no entry is negative.
SizeTable one_event(const BreakageRates& r, double q) {
  SizeTable table{};
  for (int j = 0; j < size_classes; ++j) {
    const double breaks = r.selection[j] / q;
    for (int i = 0; i < j; ++i) table[j][i] = r.fragments[j][i] * breaks;
    table[j][j] = 1 - breaks;
  }
  return table;
}

// exp(A E) m for a dose d = q E of 1/256 at most, as exp(-d) exp(d (I + A/q)): all terms positive, the eighth 1e-24.
PerSize small_dose(const SizeTable& event, PerSize mass, double dose) {
  PerSize sum = mass;
  for (int k = 1; k <= 7; ++k) {
    mass = applied(event, mass);
    for (double& m : mass) m *= dose / k;
    for (int i = 0; i < size_classes; ++i) sum[i] += mass[i];
  }
  for (double& m : sum) m *= std::exp(-dose);
  return sum;
}

// Diagonal exp(-Sⱼ E); the fragments share out exactly what has left.
void make_exact(SizeTable& table, const BreakageRates& r, double energy) {
  for (int j = 0; j < size_classes; ++j) {
    double fragments = 0;
    for (int i = 0; i < j; ++i) fragments += table[j][i];
    const double left = -std::expm1(-r.selection[j] * energy);
    const double scale = fragments > 0 ? left / fragments : 0.0;
    for (int i = 0; i < j; ++i) table[j][i] *= scale;
    table[j][j] = fragments > 0 ? 1 - left : 1.0;
  }
}

SizeTable squared(const SizeTable& p) {
  SizeTable out{};
  for (int j = 0; j < size_classes; ++j)
    for (int k = 0; k <= j; ++k)
      for (int i = 0; i <= k; ++i) out[j][i] += p[j][k] * p[k][i];
  return out;
}

}  // namespace

double selection(const Selection& s, double x) {
  return s.per_energy * std::pow(x / reference_size, s.exponent) / (1 + std::pow(x / s.too_large, s.cut));
}

double finer_than(const Fragments& f, double x_over_y) {
  if (x_over_y >= 1) return 1;
  return f.fines_share * std::pow(x_over_y, f.fines_slope) + (1 - f.fines_share) * std::pow(x_over_y, f.coarse_slope);
}

BreakageRates breakage_rates(const Selection& s, const Fragments& f) {
  BreakageRates rates;
  for (int j = 1; j < size_classes; ++j) {
    rates.selection[j] = selection(s, lower_size(j));
    double below = 0;
    for (int i = 0; i < j; ++i) {
      const double here = i + 1 == j ? 1.0 : finer_than(f, upper_size(i) / lower_size(j));
      rates.fragments[j][i] = here - below;
      below = here;
    }
  }
  return rates;
}

Breakage::Breakage(const BreakageRates& rates) {
  fastest_ = *std::max_element(rates.selection.begin(), rates.selection.end());
  if (!(fastest_ > 0)) return;
  event_ = one_event(rates, fastest_);
  of_dose_.reserve(largest_power - least_power + 1);
  for (int power = least_power; power <= largest_power; ++power) {
    const double dose = std::ldexp(1.0, power);
    SizeTable table{};
    if (power > least_power) table = squared(of_dose_.back());
    else
      for (int j = 0; j < size_classes; ++j) {
        PerSize parent{};
        parent[j] = 1;
        table[j] = small_dose(event_, parent, dose);
      }
    make_exact(table, rates, dose / fastest_);
    of_dose_.push_back(table);
  }
}

PerSize Breakage::after(const PerSize& mass, double energy) const {
  if (of_dose_.empty() || !(energy > 0)) return mass;
  double dose = std::min(energy * fastest_, std::ldexp(1.0, largest_power));
  PerSize now = mass;
  for (int power = largest_power; power >= least_power; --power) {
    if (dose < std::ldexp(1.0, power)) continue;
    dose -= std::ldexp(1.0, power);
    now = applied(of_dose_[power - least_power], now);
  }
  return dose > 0 ? small_dose(event_, now, dose) : now;
}

}  // namespace quern
