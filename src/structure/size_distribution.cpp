#include "structure/size_distribution.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <numeric>

namespace quern {
namespace {

constexpr double ln_ratio = boost::math::constants::ln_two<double>() / 3;
constexpr int class_at_1_mm = 30;

double position(double x) { return std::log(x / 1e-3) / ln_ratio + class_at_1_mm; }  // i at the end of class i

// Masses between class ends from a cumulative distribution.
template <class Cumulative>
PerSize from_cumulative(const Cumulative& finer) {
  PerSize mass{};
  double below = 0;
  for (int i = 0; i < size_classes; ++i) {
    const double here = i + 1 == size_classes ? 1.0 : finer(upper_size(i));
    mass[i] = std::max(0.0, here - below);
    below = here;
  }
  return mass;
}

// The cumulative curve over one class: a cubic in t, 0 where the class begins and 1 where it ends.
struct Piece {
  double below, step, slope_left, slope_right;
  double at(double t) const {
    const double cubic = slope_left + slope_right - 2 * step;
    return below + t * (slope_left + t * (step - slope_left + (t - 1) * cubic));
  }
};
Piece piece(const PerSize& mass, int i) {
  const double all = total(mass);
  const auto share = [&](int k) { return k < 0 || k >= size_classes ? 0.0 : mass[k] / all; };
  const auto slope = [](double a, double b) { return a + b > 0 ? 2 * a * b / (a + b) : 0.0; };
  const double below = std::accumulate(mass.begin(), mass.begin() + i, 0.0) / all;
  return {below, share(i), slope(share(i - 1), share(i)), slope(share(i), share(i + 1))};
}

// Mean of xᵖ over a class whose mass is even over ln x, for x in units of the middle size.
double mean_power(double p) {
  const double half = 0.5 * p * ln_ratio;
  return half == 0 ? 1.0 : std::sinh(half) / half;
}

double sum_of_powers(const PerSize& mass, double p) {
  double sum = 0;
  for (int i = 0; i < size_classes; ++i) sum += mass[i] * std::pow(middle_size(i), p);
  return sum * mean_power(p);
}

}  // namespace

double upper_size(int i) { return 1e-3 * std::exp((i - class_at_1_mm) * ln_ratio); }
double lower_size(int i) { return upper_size(i - 1); }
double middle_size(int i) { return 1e-3 * std::exp((i - 0.5 - class_at_1_mm) * ln_ratio); }

LogNormal counted_by(Weighting weighting, const LogNormal& d) {
  const int steps = static_cast<int>(weighting) - static_cast<int>(d.weighting);
  return {d.median * std::exp(steps * d.spread * d.spread), d.spread, weighting};
}

double moment(const LogNormal& d, double k, Weighting weighting) {
  return std::pow(counted_by(weighting, d).median, k) * std::exp(0.5 * k * k * d.spread * d.spread);
}

PerSize single_size(double size) {
  PerSize mass{};
  constexpr double a_hair = 1e-9;  // a size at a class's end belongs to that class
  mass[static_cast<int>(std::clamp(std::ceil(position(size) - a_hair), 0.0, size_classes - 1.0))] = 1;
  return mass;
}

PerSize log_normal(const LogNormal& d) {
  const LogNormal by_volume = counted_by(Weighting::volume, d);
  return from_cumulative([&](double x) {
    const double z = std::log(x / by_volume.median) / by_volume.spread;
    return 0.5 * std::erfc(-z / boost::math::constants::root_two<double>());
  });
}

PerSize rosin_rammler(double d63, double n) {
  return from_cumulative([&](double x) { return -std::expm1(-std::pow(x / d63, n)); });
}

double total(const PerSize& mass) { return std::accumulate(mass.begin(), mass.end(), 0.0); }

double passing(const PerSize& mass, double x) {
  if (!(total(mass) > 0)) return 0;
  const double at = position(x) + 1;  // in classes from where the first begins
  if (at <= 0) return 0;
  if (at >= size_classes) return 1;
  const int i = static_cast<int>(at);
  return std::clamp(piece(mass, i).at(at - i), 0.0, 1.0);
}

double quantile(const PerSize& mass, double p) {
  if (!(total(mass) > 0)) return 0;
  const double wanted = p * total(mass);
  double below = 0;
  int i = 0;
  while (i + 1 < size_classes && below + mass[i] < wanted) below += mass[i++];
  const Piece curve = piece(mass, i);
  double low = 0, high = 1;
  for (int halving = 0; halving < 50; ++halving) {
    const double t = 0.5 * (low + high);
    (curve.at(t) < p ? low : high) = t;
  }
  return lower_size(i) * std::exp(0.5 * (low + high) * ln_ratio);
}

double moment(const PerSize& mass, double k, Weighting weighting) {
  if (!(total(mass) > 0)) return 0;
  const double to_volume = static_cast<int>(weighting) - 3;
  return sum_of_powers(mass, k + to_volume) / sum_of_powers(mass, to_volume);
}

double mean_size(const PerSize& mass, double k, Weighting weighting) {
  if (k != 0) return std::pow(moment(mass, k, weighting), 1 / k);
  constexpr double nearly = 1e-4;  // d ln M/dk at 0 by central difference: error of order 1e-8
  return std::pow(moment(mass, nearly, weighting) / moment(mass, -nearly, weighting), 0.5 / nearly);
}

std::optional<SizeSummary> summary(const PerSize& mass) {
  if (!(total(mass) > 0)) return std::nullopt;
  SizeSummary s{quantile(mass, 0.1), quantile(mass, 0.5), quantile(mass, 0.9)};
  s.span = (s.d90 - s.d10) / s.d50;
  s.sauter = mean_size(mass, 1, Weighting::area);
  s.volume_mean = mean_size(mass, 1, Weighting::volume);
  return s;
}

}  // namespace quern
