#include "machine/stations.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

using std::numbers::pi;

std::size_t index(int i) { return static_cast<std::size_t>(i); }

double melt_viscosity(const MarchLine& line, double rate, double T, double p) {
  double log_eta = 0;
  for (const MarchLine::Polymer& polymer : line.polymers)
    log_eta += polymer.share * std::log(viscosity(polymer.eta, std::max(rate, 1e-9), T, p));
  return line.filler_factor * std::exp(log_eta);
}

/// Sums over the cells of one element, means by time.
class StationBuilder {
 public:
  StationBuilder(const Trial& trial, const Stock& stock, const MarchLine& line, const MarchRecord& record)
      : trial_(trial), stock_(stock), line_(line), record_(record), m_(throughput(trial)) {}

  std::vector<Station> build() {
    std::vector<Station> all;
    for (std::size_t first = 0; first < line_.cells.size();) {
      std::size_t last = first;
      while (last < line_.cells.size() && line_.element_of[last] == line_.element_of[first]) ++last;
      all.push_back(station(first, last));
      first = last;
    }
    return all;
  }

 private:
  Station station(std::size_t first, std::size_t last) const {
    Station s;
    Exposure& e = s.mean;
    e.hottest = 0, e.temperature = 0, e.melt_fraction = 0, e.fill = 0;
    for (std::size_t i = first; i < last; ++i) add(e, i);
    e.temperature /= e.time, e.pressure /= e.time, e.melt_fraction /= e.time, e.fill /= e.length;
    const MarchLine::Part& part = line_.parts[index(line_.cells[first].part)];
    const ElementFlow& flow = line_.distinct[index(line_.cells[first].part)].flow;
    set_melt(e, part, flow);
    set_tips(e, part, flow);
    s.tip_share = tip_share(e, part);
    if (e.melt_fraction > 0.5) s.tip_repeat = flow.tip_repeat;
    s.mixing = mixing_of(state_of(first, last), flow, trial_);
    return s;
  }

  void add(Exposure& e, std::size_t i) const {
    const MarchLine::Cell& cell = line_.cells[i];
    const double tau = record_.tau[i];
    e.position = cell.from + cell.dz, e.length += cell.dz, e.time += tau;
    e.energy += record_.energy[i] / m_;
    e.temperature += tau * record_.T[i], e.hottest = std::max({e.hottest, record_.T[i], record_.film_T[i]});
    e.pressure += tau * (record_.p[i] + record_.p_up[i]) / 2;
    e.melt_fraction += tau * record_.X[i], e.fill += record_.fill[i] * cell.dz;
    e.open |= cell.open;
  }

  ElementState state_of(std::size_t first, std::size_t last) const {
    ElementState state;
    state.from = line_.cells[first].from;
    state.to = line_.cells[last - 1].from + line_.cells[last - 1].dz;
    for (std::size_t i = first; i < last; ++i) {
      const double dz = line_.cells[i].dz;
      state.residence_time += record_.tau[i], state.filled_length += record_.full[i] * dz;
      state.mean_fill += record_.fill[i] * dz / (state.to - state.from);
    }
    return state;
  }

  void set_melt(Exposure& e, const MarchLine::Part& part, const ElementFlow& flow) const {
    const double N = trial_.screw_speed;
    e.kneading = part.kneading;
    e.shear_rate = flow.mean_shear_rate * N;
    e.viscosity = melt_viscosity(line_, e.shear_rate, e.temperature, e.pressure);
    e.tip_rate = flow.tip_shear_rate * N;
    e.tip_viscosity = melt_viscosity(line_, e.tip_rate, e.temperature, e.pressure);
    // wiped once by every tip; what is not full lies open
    if (e.fill < 0.999 && e.melt_fraction > 0.5)
      e.surface = part.bore * (1 - e.fill) * N * line_.tip_starts / (part.free_area * e.fill);
  }

  void set_tips(Exposure& e, const MarchLine::Part& part, const ElementFlow& flow) const {
    const double N = trial_.screw_speed, D = line_.D, X = e.melt_fraction;
    const double relative =
        m_ / stock_.melt_density(std::max(e.temperature, stock_.T_melt), e.pressure) / (N * D * D * D);
    const double of_melt = flow.tip_flux * e.fill * e.length / D / relative;
    const double engaged = part.kneading ? line_.engage : line_.engage_conveying;
    const double of_granules = part.land > 0 ? 2 * line_.tip_starts * N * e.time * engaged : 0;
    e.tip_passes = X * of_melt + (1 - X) * of_granules;
    if (part.land > 0) e.tip_time = part.nip_land / (pi * D * N / 2);
    const double faced = engaged * part.land * pi * D * N * e.length * (part.kneading ? 1 : e.fill);
    if (X < 0.5 && faced > 0) e.granule_stress = e.energy * m_ / faced;
  }

  /// Granules take all they get under the tips; melt the lands' part of the sliding power.
  double tip_share(const Exposure& e, const MarchLine::Part& part) const {
    if (e.tip_passes <= 0) return 0;
    const double tips = e.tip_viscosity * part.c_tip,
                 rest =
                     melt_viscosity(line_, part.k_rest * trial_.screw_speed, e.temperature, e.pressure) * part.c_rest;
    return (1 - e.melt_fraction) + e.melt_fraction * tips / (tips + rest);
  }

  const Trial& trial_;
  const Stock& stock_;
  const MarchLine& line_;
  const MarchRecord& record_;
  double m_;
};

}  // namespace

std::vector<MixedLength> mixing_of(const ElementState& e, const ElementFlow& flow, const Trial& trial) {
  const double length = e.to - e.from,
               unit = trial.closures[Closure::mixing_length] * trial.machine.section.screw_diameter;
  const double mixing = trial.closures.is_fixed(Closure::mixing_length) ? 0 : flow.mixing_length;
  const double standing = mixing > 0 ? e.filled_length : 0;  // mixes as tracked
  const double share = std::clamp(standing / std::max(e.mean_fill * length, 1e-9), 0.0, 1.0), rest = length - standing;
  std::vector<MixedLength> lengths;
  if (standing > 0) lengths.push_back({share * e.residence_time, standing / mixing, 0});
  if (rest > 1e-6 * length || standing <= 0)
    lengths.push_back({(1 - share) * e.residence_time, rest / unit, trial.closures[Closure::plug_share]});
  else lengths.back().mean = e.residence_time;
  return lengths;
}

std::vector<Station> stations(const Trial& trial, const Stock& stock, const MarchLine& line,
                              const MarchRecord& record) {
  return StationBuilder(trial, stock, line, record).build();
}

}  // namespace quern
