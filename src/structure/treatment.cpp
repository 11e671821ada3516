#include "structure/treatment.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>

#include "base/error.hpp"

namespace quern {
namespace {

using Values = std::span<const double>;

constexpr double largest = 1e150;  // its square can be held

/// Masses that add up to 1, and the number of equal parcels that would tell as much.
struct Weights {
  std::vector<double> share{};
  double effective = 0;
};

void refuse(std::string field, std::string wrong, std::string right) {
  throw InputError({{.field = std::move(field), .wrong = std::move(wrong), .right = std::move(right)}});
}

void require_usable(const char* name, Values values) {
  for (std::size_t i = 0; i < values.size(); ++i)
    if (!(std::abs(values[i]) <= largest))
      refuse(name + ("[" + std::to_string(i) + "]"), "not a number of use", "a number up to 1e150");
}

Weights weights(Values mass, std::size_t n) {
  if (n == 0) refuse("parcels", "there are none", "at least one");
  if (mass.empty()) return {std::vector<double>(n, 1.0 / static_cast<double>(n)), static_cast<double>(n)};
  if (mass.size() != n)
    refuse("mass", std::to_string(mass.size()) + " masses of " + std::to_string(n) + " parcels", "one a parcel");
  require_usable("mass", mass);
  const double heaviest = *std::max_element(mass.begin(), mass.end());
  if (*std::min_element(mass.begin(), mass.end()) < 0) refuse("mass", "negative", "0 or more");
  if (heaviest <= 0) refuse("mass", "all are 0", "at least one above 0");
  Weights w{{mass.begin(), mass.end()}, 0};
  for (double& m : w.share) m /= heaviest;  // so that huge masses add up too
  const double total = std::accumulate(w.share.begin(), w.share.end(), 0.0);
  for (double& m : w.share) m /= total;
  w.effective = 1 / std::inner_product(w.share.begin(), w.share.end(), w.share.begin(), 0.0);
  return w;
}

/// About the first value, so that equal values give just that.
double mean_of(Values x, const Weights& w) {
  double sum = 0;
  for (std::size_t i = 0; i < x.size(); ++i) sum += w.share[i] * (x[i] - x[0]);
  return x[0] + sum;
}

double covariance(Values x, double mean_x, Values y, double mean_y, const Weights& w) {
  double sum = 0;
  for (std::size_t i = 0; i < x.size(); ++i) sum += w.share[i] * (x[i] - mean_x) * (y[i] - mean_y);
  return sum;
}

/// Just 0 or 1 where no or all values are.
double mass_below(Values x, double limit, const Weights& w) {
  double below = 0, rest = 0;
  for (std::size_t i = 0; i < x.size(); ++i) (x[i] < limit ? below : rest) += w.share[i];
  return below / (below + rest);
}

/// Values in order, each at the middle of its own mass.
class Order {
 public:
  Order(Values x, const Weights& w) {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < x.size(); ++i)
      if (w.share[i] > 0) order.push_back(i);
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
    double below = 0;
    for (const std::size_t i : order) {
      value_.push_back(x[i]), place_.push_back(below + w.share[i] / 2);
      below += w.share[i];
    }
  }

  double at(double share) const {
    const std::size_t after =
        static_cast<std::size_t>(std::upper_bound(place_.begin(), place_.end(), share) - place_.begin());
    if (after == 0) return value_.front();
    if (after == place_.size()) return value_.back();
    const double part = (share - place_[after - 1]) / (place_[after] - place_[after - 1]);
    return value_[after - 1] + part * (value_[after] - value_[after - 1]);
  }

 private:
  std::vector<double> value_{}, place_{};
};

Statistics statistics_of(Values x, const Weights& w) {
  Statistics s;
  s.mean = mean_of(x, w);
  s.standard_deviation = std::sqrt(covariance(x, s.mean, x, s.mean, w));
  const Order order(x, w);
  s.p5 = order.at(0.05), s.p50 = order.at(0.5), s.p95 = order.at(0.95);
  if (w.effective > 1 + 1e-12) s.standard_error = s.standard_deviation / std::sqrt(w.effective - 1);
  return s;
}

Weights checked(const ParcelTotals& p) {
  if (p.energy.size() != p.time.size())
    refuse("energy", std::to_string(p.energy.size()) + " energies of " + std::to_string(p.time.size()) + " parcels",
           "one a parcel");
  require_usable("time", p.time);
  require_usable("energy", p.energy);
  return weights(p.mass, p.time.size());
}

/// From the least positive value to the largest; a decade's twentieth to either side where all are alike.
std::vector<double> log_edges(Values x, int cells) {
  double low = 0, high = 0;
  for (const double value : x) {
    if (value <= 0) continue;
    low = low > 0 ? std::min(low, value) : value;
    high = std::max(high, value);
  }
  if (high <= 0) low = high = 1;
  double from = std::log(low), to = std::log(high);
  if (to - from < 1e-9) from -= 0.115, to += 0.115;
  std::vector<double> edges(static_cast<std::size_t>(cells) + 1);
  for (std::size_t i = 0; i < edges.size(); ++i)
    edges[i] = std::exp(from + (to - from) * static_cast<double>(i) / cells);
  return edges;
}

std::size_t cell_of(const std::vector<double>& edges, double value) {
  const auto after = std::upper_bound(edges.begin(), edges.end(), value) - edges.begin();
  return static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(after - 1, 0, std::ssize(edges) - 2));
}

}  // namespace

Statistics statistics(std::span<const double> values, std::span<const double> mass) {
  require_usable("values", values);
  return statistics_of(values, weights(mass, values.size()));
}

EnsembleTreatment ensemble_treatment(const ParcelTotals& parcels) {
  const Weights w = checked(parcels);
  EnsembleTreatment t{.time = statistics_of(parcels.time, w), .energy = statistics_of(parcels.energy, w)};
  const double spreads = t.time.standard_deviation * t.energy.standard_deviation;
  if (spreads > 0) {
    const double together = covariance(parcels.time, t.time.mean, parcels.energy, t.energy.mean, w);
    t.correlation = std::clamp(together / spreads, -1.0, 1.0);
  }
  t.undertreated = mass_below(parcels.energy, t.energy.mean / 2, w);
  t.undertreated_error = std::sqrt(t.undertreated * (1 - t.undertreated) / w.effective);
  return t;
}

TreatmentCloud treatment_cloud(const ParcelTotals& parcels, int cells) {
  const Weights w = checked(parcels);
  cells = std::max(cells, 1);
  TreatmentCloud c{.time_edges = log_edges(parcels.time, cells), .energy_edges = log_edges(parcels.energy, cells)};
  const std::size_t columns = static_cast<std::size_t>(cells);
  c.share.assign(columns * columns, 0.0);
  for (std::size_t i = 0; i < parcels.time.size(); ++i)
    c.share[cell_of(c.time_edges, parcels.time[i]) * columns + cell_of(c.energy_edges, parcels.energy[i])] +=
        w.share[i];
  return c;
}

double share_below(std::span<const double> values, double limit, std::span<const double> mass) {
  require_usable("values", values);
  return mass_below(values, limit, weights(mass, values.size()));
}

}  // namespace quern
