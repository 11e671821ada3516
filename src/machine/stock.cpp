#include "machine/stock.hpp"

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <limits>

namespace quern {
namespace {

/// Share of this material that is melt at T: fillers never, liquids always.
double molten(const Material& material, double T) {
  switch (material.state) {
    case State::filler:
      return 0;
    case State::liquid:
      return 1;
    case State::melting:
      return melt_fraction(material.thermal, T);
  }
  return 0;
}

double particle_density(const Material& material) {
  return material.state == State::melting ? material.solid.density : material.density.rho;
}

/// What the trial's streams add up to, by material mass share.
double sum(const auto& parts, auto&& term) {
  double total = 0;
  for (const auto& part : parts) total += part.share * term(part.material);
  return total;
}

}  // namespace

Stock::Stock(const Trial& trial) {
  const double rate = throughput(trial);
  double loose_volume = 0, compact_volume = 0;
  for (const Feed& feed : trial.feeds) {
    const Material& m = feed.material;
    const double share = feed.rate / rate;
    parts_.push_back({m, share});
    feed_enthalpy += share * quern::enthalpy(m.thermal, feed.temperature);
    const double loose = feed.bulk_density.value_or(m.state == State::liquid ? density(m.density, feed.temperature)
                                                                             : m.solid.bulk_loose);
    const double compact = m.state == State::liquid ? loose : std::max(loose, m.solid.bulk_compacted);
    loose_volume += share / loose;
    compact_volume += share / compact;
    if (m.state == State::filler) continue;
    polymer_share += share;
    polymers_.push_back({m, share});
    size += share * feed.size.value_or(m.solid.size);
  }
  bulk_loose = 1 / loose_volume;
  bulk_compacted = 1 / compact_volume;
  size /= polymer_share;
  for (Polymer& p : polymers_) p.share /= polymer_share;

  all_liquid = std::ranges::all_of(polymers_, [](const Polymer& p) { return p.material.state == State::liquid; });
  softening = degradation = std::numeric_limits<double>::infinity();
  for (const Polymer& p : polymers_) {
    const Material& m = p.material;
    if (m.degradation_guide) degradation = std::min(degradation, *m.degradation_guide);
    if (m.state != State::melting) continue;
    softening = std::min(softening, m.solid.softening);
    T_melt = std::max(T_melt, m.thermal.T_melt);
    fusion += p.share * polymer_share * m.thermal.fusion;
  }
  if (std::isinf(degradation)) degradation = 0;
  density_solid = 1 / sum(parts_, [](const Material& m) { return 1 / particle_density(m); });
  polymer_volume_share =
      polymer_share * sum(polymers_, [](const Material& m) { return 1 / particle_density(m); }) * density_solid;
  friction = sum(polymers_, [](const Material& m) { return m.solid.friction; });
  conductivity_solid = sum(parts_, [](const Material& m) { return m.thermal.conductivity_solid; });
  conductivity_melt = sum(parts_, [](const Material& m) { return m.thermal.conductivity; });
  heat_capacity_solid = sum(parts_, [](const Material& m) { return m.thermal.cp_solid; });
  feed_temperature = temperature(feed_enthalpy);
}

double Stock::enthalpy(double T) const {
  return sum(parts_, [T](const Material& m) { return quern::enthalpy(m.thermal, T); });
}

double Stock::temperature(double h) const {
  constexpr double low = 150, high = 1000;
  const auto off = [&](double T) { return enthalpy(T) - h; };
  if (off(low) >= 0) return low;
  if (off(high) <= 0) return high;
  std::uintmax_t most = 200;
  const auto bracket =
      boost::math::tools::toms748_solve(off, low, high, boost::math::tools::eps_tolerance<double>(50), most);
  return 0.5 * (bracket.first + bracket.second);
}

double Stock::heat_capacity(double T) const {
  return sum(parts_, [T](const Material& m) { return quern::heat_capacity(m.thermal, T); });
}

double Stock::melt_fraction(double T) const {
  return sum(polymers_, [T](const Material& m) { return molten(m, T); });
}

double Stock::shear_yield(double T) const {
  return sum(polymers_,
             [T](const Material& m) {
               return m.state == State::liquid ? 0 : yield_stress(m.solid, T, m.solid.yield_rate_ref);
             }) /
         std::sqrt(3.0);
}

double Stock::melt_density(double T, double p) const {
  return 1 / sum(parts_, [=](const Material& m) { return 1 / density(m.density, T, p); });
}

double Stock::filler_factor(double T) const {
  double volume = 0, fillers = 0, weighted_packing = 0;
  for (const Part& part : parts_) {
    const double v = part.share / density(part.material.density, T, 0);
    volume += v;
    if (part.material.state != State::filler) continue;
    fillers += v;
    weighted_packing += v * part.material.max_packing;
  }
  return fillers > 0 ? suspension_factor(fillers / volume, weighted_packing / fillers) : 1;
}

HeatTable heat_table(const Stock& stock) {
  constexpr int n = 1024;
  constexpr double lowest = 150, highest = 1000;
  HeatTable table;
  table.h0 = stock.enthalpy(lowest);
  table.step = (stock.enthalpy(highest) - table.h0) / (n - 1);
  table.nodes.reserve(n);
  double T = lowest;
  for (int i = 0; i < n; ++i) {
    const double h = table.h0 + i * table.step;
    double low = T, high = highest;  // h rises with T: a bracketed Newton search from the last node
    for (int k = 0; k < 80; ++k) {
      const double off = stock.enthalpy(T) - h;
      (off > 0 ? high : low) = T;
      if (std::fabs(off) <= 1e-10 * table.step) break;
      const double next = T - off / stock.heat_capacity(T);
      T = next > low && next < high ? next : 0.5 * (low + high);
    }
    const double dT = table.step / stock.heat_capacity(T);
    const double dX = (stock.melt_fraction(T + 1e-3) - stock.melt_fraction(T - 1e-3)) / 2e-3 * dT;
    const double dY = (stock.shear_yield(T + 1e-2) - stock.shear_yield(T - 1e-2)) / 2e-2 * dT;
    table.nodes.push_back({T, dT, stock.melt_fraction(T), dX, stock.shear_yield(T), dY});
  }
  return table;
}

}  // namespace quern
