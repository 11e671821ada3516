#include "machine/parcels.hpp"

#include <algorithm>
#include <cmath>
#include <random>

namespace quern {
namespace {

/// Draws from one station for all parcels, one after the other.
class StationDraw {
 public:
  StationDraw(const Station& station, Parcels& parcels, std::mt19937_64& random)
      : station_(station), parcels_(parcels), random_(random) {}

  void into(std::size_t first) {
    const Exposure& e = station_.mean;
    std::vector<std::gamma_distribution<double>> mixed;
    double plug = 0;
    for (const MixedLength& l : station_.mixing) {
      mixed.emplace_back(l.tanks, (1 - l.plug_share) * l.mean / l.tanks);
      plug += l.plug_share * l.mean;
    }
    for (std::size_t i = 0; i < parcels_.count; ++i) {
      double time = plug;
      for (auto& tanks : mixed) time += tanks(random_);
      const double relative = e.time > 0 ? time / e.time : 0;
      const int passes = pass(e.tip_passes * relative);
      const double under_tips = e.tip_passes > 0 ? passes / e.tip_passes : relative;
      const double energy = e.energy * ((1 - station_.tip_share) * relative + station_.tip_share * under_tips);
      parcels_.time[first + i] = static_cast<float>(time), parcels_.energy[first + i] = static_cast<float>(energy);
      parcels_.passes[first + i] = static_cast<std::uint16_t>(passes);
      parcels_.total_time[i] += time, parcels_.total_energy[i] += energy;
    }
  }

 private:
  int pass(double mean) {
    constexpr int most = 65535;
    if (mean <= 0) return 0;
    const double entries = mean / station_.tip_repeat;
    const int n = entries < 12 ? few(entries) : std::poisson_distribution<int>(std::min(entries, 6e4))(random_);
    return std::min(station_.tip_repeat > 1 ? repeated(n) : n, most);
  }

  /// Each entry is followed by more with an even chance every time, tip_repeat passes in the mean.
  int repeated(int entries) {
    const double log_again = std::log1p(-1 / station_.tip_repeat);
    double passes = entries;
    for (int i = 0; i < entries; ++i) passes += std::floor(std::log1p(-uniform_(random_)) / log_again);
    return static_cast<int>(std::min(passes, 1e6));
  }

  /// By multiplying uniform numbers (Knuth): quick where the mean is small.
  int few(double mean) {
    const double limit = std::exp(-mean);
    int n = 0;
    for (double product = uniform_(random_); product > limit; product *= uniform_(random_)) ++n;
    return n;
  }

  const Station& station_;
  Parcels& parcels_;
  std::mt19937_64& random_;
  std::uniform_real_distribution<double> uniform_{};
};

}  // namespace

Parcels sample_parcels(std::span<const Station> stations, std::size_t count, std::uint64_t seed) {
  Parcels parcels;
  parcels.count = count;
  parcels.time.resize(stations.size() * count), parcels.energy.resize(stations.size() * count);
  parcels.passes.resize(stations.size() * count);
  parcels.total_time.resize(count), parcels.total_energy.resize(count);
  std::mt19937_64 random(seed);
  for (std::size_t s = 0; s < stations.size(); ++s) StationDraw(stations[s], parcels, random).into(s * count);
  return parcels;
}

History history_of(std::span<const Station> stations, const Parcels& parcels, std::size_t parcel) {
  History history;
  history.reserve(stations.size());
  for (std::size_t s = 0; s < stations.size(); ++s) {
    Exposure e = stations[s].mean;
    const std::size_t i = s * parcels.count + parcel;
    e.time = parcels.time[i], e.energy = parcels.energy[i], e.tip_passes = parcels.passes[i];
    history.push_back(e);
  }
  return history;
}

History mean_history(std::span<const Station> stations) {
  History history;
  for (const Station& s : stations) history.push_back(s.mean);
  return history;
}

}  // namespace quern
