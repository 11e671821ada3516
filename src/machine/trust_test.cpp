// Truth: what solving a project does in which the moved figure stands, fixed or given.
#include "machine/trust.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "machine/solve.hpp"
#include "machine/trial_example.hpp"

using namespace quern;
using doctest::Approx;

namespace {

constexpr Closure after_the_march[] = {Closure::intake_efficiency, Closure::mixing_length, Closure::plug_share,
                                       Closure::zone_cooling_flux, Closure::trough_film};

LineState solved(const Trial& trial, bool with_spread = false) {
  const Solved<LineState> state = solve(trial, with_spread);
  REQUIRE_MESSAGE(state.has_value(), (state ? std::string() : state.error().text));
  return *state;
}

const Trust* find(const LineState& s, const std::string& closure) {
  for (const Trust& t : s.trust)
    if (t.closure == closure) return &t;
  return nullptr;
}

/// Every closure fixed at the value it has anyway.
Trial all_fixed(Trial trial) {
  const double film = find(solved(trial), "barrel_heat_transfer")->value;
  for (const ClosureInfo& c : closure_list())
    trial.closures.fix(c.closure, c.closure == Closure::barrel_heat_transfer ? film : c.value);
  return trial;
}
Trial with_free(Trial trial, Closure c) {
  trial.closures.fixed[static_cast<std::size_t>(c)].reset();
  return trial;
}
Trial with_fixed(Trial trial, Closure c, double value) {
  trial.closures.fix(c, value);
  return trial;
}
double one_sigma_off(const ClosureInfo& c, double value) {
  return value * (1 + c.uncertainty) > c.highest ? value / (1 + c.uncertainty) : value * (1 + c.uncertainty);
}

/// What changed between two states, squared.
struct Change {
  double energy = 0, time = 0, T = 0;
  Change() = default;
  Change(const LineState& a, const LineState& b)
      : energy(std::pow(b.summary.specific_energy / a.summary.specific_energy - 1, 2)),
        time(std::pow(b.summary.mean_residence_time / a.summary.mean_residence_time - 1, 2)),
        T(std::pow(b.profile.temperature.back() - a.profile.temperature.back(), 2)) {}
  void operator+=(const Change& c) { energy += c.energy, time += c.time, T += c.T; }
};

void check(const Spread& spread, const Change& change) {
  CHECK(spread.specific_energy == Approx(std::sqrt(change.energy)).epsilon(1e-4));
  CHECK(spread.mean_residence_time == Approx(std::sqrt(change.time)).epsilon(1e-4));
  CHECK(spread.outlet_temperature_K == Approx(std::sqrt(change.T)).epsilon(1e-3));
}

/// The elements of a kind with characteristics given: as computed, but throughput and pressure flow times a factor; the
/// power at no pressure gradient stays, and so does reciprocity.
Trial with_flow(Trial trial, ElementKind kind, double A1_by, double B_by) {
  for (Element& e : trial.screw.elements) {
    if (e.kind != kind) continue;
    const ElementFlow flow = element_flow(trial.machine.section, e);
    const double c = flow.line.P0 - flow.line.P1 * flow.line.A1;
    const double A1 = flow.line.A1 * (1 + A1_by * flow.uncertainty.A1),
                 B = flow.line.B * (1 + B_by * flow.uncertainty.B);
    e.characteristics = Characteristics{.A1 = A1, .B = B, .P0 = c + A1 * A1 / B, .P1 = A1 / B};
  }
  return trial;
}

}  // namespace

TEST_CASE(
    "spread: with one closure free it is what fixing that closure one sigma off changes, for each one that acts") {
  const Trial fixed = all_fixed(trial_example());
  const LineState base = solved(fixed);
  int moved = 0;
  for (const ClosureInfo& c : closure_list()) {
    if (c.closure == Closure::flow_scale || c.closure == Closure::power_scale) continue;
    if (std::find(std::begin(after_the_march), std::end(after_the_march), c.closure) != std::end(after_the_march))
      continue;
    CAPTURE(c.name);
    const double value = fixed.closures[c.closure];
    const LineState other = solved(with_fixed(fixed, c.closure, one_sigma_off(c, value)));
    const Change change(base, other);
    CHECK(change.energy + change.time > 1e-14);
    check(solved(with_free(fixed, c.closure), true).spread.value(), change);
    ++moved;
  }
  CHECK(moved == 13);
}

TEST_CASE("spread: what acts only after the march changes nothing in it and has no part in the spread") {
  const Trial fixed = all_fixed(trial_example());
  const LineState base = solved(fixed);
  for (const Closure c : after_the_march) {
    CAPTURE(info(c).name);
    const LineState other = solved(with_fixed(fixed, c, one_sigma_off(info(c), info(c).value)));
    CHECK(other.summary.specific_energy == base.summary.specific_energy);
    CHECK(other.summary.mean_residence_time == base.summary.mean_residence_time);
    CHECK(other.summary.outlet_temperature == base.summary.outlet_temperature);
    check(solved(with_free(fixed, c), true).spread.value(), {});
  }
}

TEST_CASE("spread: throughput and pressure flow err by element kind, each by its own uncertainty") {
  const Trial fixed = all_fixed(trial_example());
  const LineState base = solved(fixed);
  Change sum;
  for (const ElementKind kind : {ElementKind::conveying, ElementKind::kneading})
    for (const auto& [A1, B] : {std::pair{1, 0}, std::pair{0, 1}})
      sum += Change(base, solved(with_flow(fixed, kind, A1, B)));
  CHECK(sum.energy > 1e-6);
  check(solved(with_free(fixed, Closure::flow_scale), true).spread.value(), sum);
}

TEST_CASE("spread: where the user gave the flow of one kind, only the other kind's uncertainty is left") {
  const Trial fixed = with_flow(all_fixed(trial_example()), ElementKind::kneading, 0, 0);
  const LineState base = solved(fixed);
  Change sum;
  for (const auto& [A1, B] : {std::pair{1, 0}, std::pair{0, 1}})
    sum += Change(base, solved(with_flow(fixed, ElementKind::conveying, A1, B)));
  check(solved(with_free(fixed, Closure::flow_scale), true).spread.value(), sum);
}

TEST_CASE("spread: power of a screw of one kind errs as power_scale does") {
  Trial trial = trial_example();
  for (Element& e : trial.screw.elements)
    if (e.kind == ElementKind::kneading) e = {.length = 30e-3, .lead = 30e-3};
  const Trial fixed = all_fixed(trial);
  const ClosureInfo& c = info(Closure::power_scale);
  const LineState other = solved(with_fixed(fixed, c.closure, 1 + c.uncertainty));
  check(solved(with_free(fixed, c.closure), true).spread.value(), Change(solved(fixed), other));
}

TEST_CASE("spread: nothing is uncertain where every closure is fixed and every flow given") {
  Trial trial = trial_example();
  trial = with_flow(with_flow(trial, ElementKind::kneading, 0, 0), ElementKind::conveying, 0, 0);
  const LineState open = solved(trial);
  CHECK(find(open, "flow_scale") == nullptr);  // and nothing rests on a scale of what is computed
  CHECK(find(open, "power_scale") == nullptr);
  const Spread spread = solved(all_fixed(trial), true).spread.value();
  check(spread, {});
  CHECK(spread.torque_share == 0);
}

TEST_CASE("spread: torque's is that of energy") {
  const LineState s = solved(trial_example(), true);
  CHECK(s.spread->torque_share == Approx(s.spread->specific_energy * s.summary.torque_share).epsilon(1e-12));
  CHECK(s.spread->specific_energy > 0);
}

TEST_CASE("trust: flow_scale is as uncertain as the least certain computed element, and certain once fixed") {
  const Trial trial = trial_example();
  double most = 0;
  for (const Element& e : trial.screw.elements)
    most = std::max(most, element_flow(trial.machine.section, e).uncertainty.B);
  CHECK(find(solved(trial), "flow_scale")->relative_uncertainty == Approx(most));
  CHECK(find(solved(with_fixed(trial, Closure::flow_scale, 1)), "flow_scale")->relative_uncertainty == 0);
}
