#include "structure/scission_kernel.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

constexpr double most = 1e6;  // mol/kg: ten thousand times the bonds of any polymer, so every bond is long broken

double bounded(double dose) { return std::clamp(dose, 0.0, most); }

/// Where along a chain it breaks: x of its length from one end, between `end` and 1 - end.
class BreakPoint {
 public:
  BreakPoint(std::optional<double> width, double end) : width_(width), end_(end) {
    if (width_) norm_ = std::erf((0.5 - end_) / *width_ / std::numbers::sqrt2);
  }
  struct Integrals {
    double share, length;
  };
  /// ∫p and ∫x p from the end to x.
  Integrals below(double x) const {
    if (!width_) {
      const double density = 1 / (1 - 2 * end_);
      return {(x - end_) * density, 0.5 * (x - end_) * (x + end_) * density};
    }
    const double z = (x - 0.5) / *width_, z_end = (0.5 - end_) / *width_;
    const double share = 0.5 * (1 + std::erf(z / std::numbers::sqrt2) / norm_);
    return {share, 0.5 * share + *width_ * (bell(z_end) - bell(z)) / norm_};
  }

 private:
  static double bell(double z) { return std::exp(-0.5 * z * z) / std::sqrt(2 * std::numbers::pi); }
  std::optional<double> width_;
  double end_, norm_ = 1;
};

/// Rates a_ij at which the mass of class j goes to classes i < j, column by column, and their sums.
class Breaking {
 public:
  explicit Breaking(std::size_t classes) : gain_(classes * (classes - 1) / 2), loss_(classes) {}

  void add(const Scission& way, std::span<const double> M) {
    const double shortest = std::max(way.limit / 2, M[0]);
    for (std::size_t j = 1; j < M.size(); ++j) {
      if (M[j] - 2 * shortest <= 1e-9 * M[j]) continue;
      const double rate = bounded(way.dose) * (M[j] - way.limit);
      share_out(j, rate, BreakPoint(way.width, shortest / M[j]), shortest, M);
    }
  }
  double loss(std::size_t j) const { return loss_[j]; }
  const double* gain(std::size_t j) const { return gain_.data() + j * (j - 1) / 2; }

 private:
  /// Two fragments a break; those between M_i and M_(i+1) go to both by the lever rule. What goes to j has not moved.
  void share_out(std::size_t j, double rate, const BreakPoint& point, double shortest, std::span<const double> M) {
    double* gain = gain_.data() + j * (j - 1) / 2;
    const auto fraction = [&](std::size_t i) { return std::clamp(M[i], shortest, M[j] - shortest) / M[j]; };
    double from = fraction(0);
    BreakPoint::Integrals before = point.below(from);
    for (std::size_t i = 0; i < j; ++i) {
      const double to = fraction(i + 1);
      if (to <= from) continue;
      const BreakPoint::Integrals here = point.below(to);
      const double number = 2 * (here.share - before.share), mass = 2 * M[j] * (here.length - before.length);
      const double step = M[i + 1] - M[i];
      put(gain, i, j, rate * M[i] / M[j] * (M[i + 1] * number - mass) / step);
      put(gain, i + 1, j, rate * M[i + 1] / M[j] * (mass - M[i] * number) / step);
      from = to, before = here;
    }
  }
  void put(double* gain, std::size_t i, std::size_t j, double rate) {
    if (i == j || !(rate > 0)) return;
    gain[i] += rate, loss_[j] += rate;
  }
  std::vector<double> gain_, loss_;
};

/// m + (a m)/q for the classes below `end`, in place: mass only moves down, so class after class upward.
void step(std::vector<double>& m, const Breaking& a, double q, std::size_t end) {
  for (std::size_t j = 1; j < end; ++j) {
    if (a.loss(j) == 0) continue;
    const double x = m[j] / q;
    m[j] -= a.loss(j) * x;
    const double* gain = a.gain(j);
    for (std::size_t i = 0; i < j; ++i) m[i] += gain[i] * x;
  }
}

/// One above the last class that counts. Traces above it are passed down: they would only cost time.
std::size_t pass_traces_down(std::vector<double>& m, const Breaking& a) {
  std::size_t end = m.size();
  while (end > 1 && (m[end - 1] < 1e-15 && (m[end - 1] == 0 || a.loss(end - 1) > 0))) {
    m[end - 2] += m[end - 1], m[end - 1] = 0;
    --end;
  }
  return end;
}

/// m ← exp(a h) m = Σ_k e^(-qh) (qh)^k/k! (1 + a/q)^k m, for qh of some tens at most.
void poisson_series(std::vector<double>& m, const Breaking& a, double q, double h, std::size_t end) {
  const double mean = q * h;
  std::vector<double> power = m;
  double weight = std::exp(-mean), left = 1 - weight;
  for (double& x : m) x *= weight;
  for (int k = 1; left > 0; ++k) {
    step(power, a, q, end);
    weight *= mean / k;
    if (k > mean && weight < 1e-17) weight = left;  // the rest goes with the last term, so that mass is kept
    for (std::size_t i = 0; i < end; ++i) m[i] += weight * power[i];
    left -= weight;
  }
}

/// Two molar masses, and the share of mass at the upper, with the mass's first four moments.
struct TwoPoints {
  double lower, upper, upper_share;
};

TwoPoints two_points(const ChainAverages& c) {
  const double width = c.Mz - c.Mw, below = c.Mw - c.Mn;
  const double growth = below > 1e-9 * c.Mw ? std::min(width / below, 50.0) : 1;  // of Mn, Mw, Mz, Mz+1: their steps
  const double variance = c.Mw * width, skew = 0.5 * (c.Mw * (growth - 1) + width * (1 + growth));
  const double root = std::hypot(skew, std::sqrt(variance));
  if (!(root > 0)) return {c.Mw, c.Mw, 0};
  return {c.Mw + skew - root, c.Mw + skew + root, 0.5 * (1 - skew / root)};
}

/// What a whole dose does, at the rates of now.
struct Rates {
  double chains = 0;  ///< gained [mol/kg]
  double Mw = 0;  ///< change of ln Mw
  double MwMz = 0;  ///< change of ln (Mw Mz)
};

void add_breaks(Rates& r, const ChainAverages& c, const Scission& way, double M, double share) {
  const double open = 1 - way.limit / M, narrow = way.width ? 1 / (*way.width * *way.width) : 0;
  const double variance = 1 / (narrow + 12 / (open * open));
  const double breaks = share * bounded(way.dose) * open, drawn = breaks * M * M / c.Mw * (0.25 - variance);
  r.chains += breaks;
  r.Mw -= 2 * drawn;
  r.MwMz -= 3 * drawn * M / c.Mz;
}

Rates rates(const ChainAverages& c, std::span<const Scission> ways, double repeat) {
  const TwoPoints at = two_points(c);
  Rates r;
  for (const Scission& way : ways) {
    const double shortest = std::max(way.limit, 2 * repeat);
    if (!(way.dose > 0)) continue;
    if (at.lower > shortest) add_breaks(r, c, way, at.lower, 1 - at.upper_share);
    if (at.upper > shortest) add_breaks(r, c, way, at.upper, at.upper_share);
  }
  return r;
}

ChainAverages moved(const ChainAverages& c, const Rates& r, double h) {
  const double Mn = c.Mn / (1 + h * r.chains * c.Mn), Mw = std::max(Mn, c.Mw * std::exp(h * r.Mw));
  return {Mn, Mw, std::max(Mw, c.Mw * c.Mz * std::exp(h * r.MwMz) / Mw)};
}

}  // namespace

ChainDistribution broken(ChainDistribution d, std::span<const Scission> ways) {
  const auto breaks = [](const Scission& way) { return way.dose > 0; };
  if (d.mass.size() < 2 || std::none_of(ways.begin(), ways.end(), breaks)) return d;
  const std::vector<double> M = molar_masses(d);
  Breaking a(M.size());
  for (const Scission& way : ways)
    if (breaks(way)) a.add(way, M);
  for (double left = 1; left > 0;) {
    const std::size_t end = pass_traces_down(d.mass, a);
    double q = 0;
    for (std::size_t j = 0; j < end; ++j) q = std::max(q, a.loss(j));
    if (q == 0) break;
    const double h = std::min(left, 16 / q);
    poisson_series(d.mass, a, q, h, end);
    left = h < left ? left - h : 0;
  }
  return d;
}

ChainAverages broken(ChainAverages c, std::span<const Scission> ways, double repeat) {
  for (double left = 1; left > 0;) {
    const Rates start = rates(c, ways, repeat);
    const double fastest = std::max({start.chains * c.Mn, -start.Mw, -start.MwMz});
    if (fastest <= 0) break;
    const double h = std::min(left, 0.3 / fastest);
    c = moved(c, rates(moved(c, start, h / 2), ways, repeat), h);
    left = h < left ? left - h : 0;
  }
  return c;
}

}  // namespace quern
