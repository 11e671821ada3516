#pragma once
#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "structure/structure_plan.hpp"
namespace quern {

/// Where the models get what they need, and leave what they found.
struct StructureTask {
  const StructurePlan& plan;
  const History& mean;
  const ParcelEnsemble& parcels;
  const Coefficients& coefficients;
  Structure& result;

  void leave_out(std::string_view model, std::string why) const { result.left_out.push_back({model, std::move(why)}); }
  std::vector<UsedCoefficient> used(std::initializer_list<std::span<const Coefficient>> lists) const {
    std::vector<UsedCoefficient> all;
    for (const auto& list : lists)
      for (const Coefficient& c : list) all.push_back({&c, coefficients(c), coefficients.is_fixed(c.name)});
    return all;
  }
};

/// A figure and how it is read off a model's state.
template <class State>
struct FigureReading {
  StructureFigure figure{};
  double (*value)(const State&) = nullptr;
};

/// Every parcel's state at the end, and the mean parcel's after each station.
template <class State>
struct LivedThrough {
  std::vector<State> along{}, ends{};
};

template <class State, class Advance>
LivedThrough<State> live_through(const StructureTask& task, const State& inlet, Advance step, std::size_t most) {
  LivedThrough<State> lived;
  State state = inlet;
  for (const Exposure& e : task.mean) lived.along.push_back(state = step(state, e));
  const std::size_t count = std::min(task.parcels.count, most);
  lived.ends.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    state = inlet;
    for (const Exposure& e : task.parcels.history(i)) state = step(state, e);
    lived.ends.push_back(state);
  }
  return lived;
}

inline std::optional<Statistics> statistics_of_existing(std::vector<double> values) {
  std::erase_if(values, [](double v) { return !std::isfinite(v); });
  if (values.empty()) return std::nullopt;
  return statistics(values);
}

template <class State>
std::vector<StructureFigure> figures_of(const State& inlet, const LivedThrough<State>& lived,
                                        std::vector<FigureReading<State>> readings) {
  std::vector<StructureFigure> list;
  for (FigureReading<State>& reading : readings) {
    StructureFigure& figure = reading.figure;
    if (const double v = reading.value(inlet); std::isfinite(v)) figure.inlet = v;
    for (const State& s : lived.along) figure.along.push_back(reading.value(s));
    std::vector<double> ends;
    for (const State& s : lived.ends) ends.push_back(reading.value(s));
    figure.end = statistics_of_existing(std::move(ends));
    list.push_back(std::move(figure));
  }
  return list;
}

/// The stream with the highest rate of those that answer, or none.
template <class Is>
std::optional<std::size_t> largest_stream(const StructurePlan& plan, Is is) {
  std::optional<std::size_t> found;
  for (std::size_t i = 0; i < plan.streams.size(); ++i)
    if (is(plan.streams[i]) && (!found || plan.streams[i].rate > plan.streams[*found].rate)) found = i;
  return found;
}

// The models that ask for what only the user knows of a second phase (structure_phases.cpp). Each adds what it found to
// the task's result, or why it was left out.
void run_blend(const StructureTask& task);
void run_filler(const StructureTask& task);
void run_platelets(const StructureTask& task);

}  // namespace quern
