#include "io/cautions.hpp"

#include <algorithm>
#include <doctest/doctest.h>

#include "io/report_example.hpp"

using namespace quern;

namespace {

bool mentions(const std::vector<std::string>& list, std::string_view words) {
  return std::ranges::any_of(list, [&](const std::string& s) { return s.find(words) != std::string::npos; });
}

/// Melt line without strands, hazards or limits in sight.
Trial quiet_trial() {
  Trial t = example_trial("melt");
  t.take_off.reset();
  t.machine.chiller.reset();
  for (double& T : t.zone_temperature) T = std::max(T, 300.0);
  return t;
}

LineState quiet_state() {
  LineState s = example_state("melt");
  for (Limit& l : s.limits) l.state = Limit::State::within;
  return s;
}

Limit limit(const char* name, Limit::State state) {
  Limit l;
  l.name = name;
  l.limit = 100;
  l.margin = 7;
  l.state = state;
  return l;
}

}  // namespace

TEST_CASE("cautions: always end with what a computed value is and what this is not") {
  const auto list = cautions(quiet_trial(), quiet_state());
  REQUIRE(list.size() >= 2);
  CHECK(list[list.size() - 2].starts_with("Computed, not measured."));
  CHECK(list.back() == general_caution());
}

TEST_CASE("cautions: never say that anything is safe") {
  for (const char* name : {"melt", "solid", "combined"})
    for (const std::string& c : cautions(example_trial(name), example_state(name))) {
      CHECK(c.find("safe ") == std::string::npos);
      CHECK(c.find("Safe") == std::string::npos);
    }
}

TEST_CASE("cautions: torque and pressure speak when near or over, with the margin left") {
  LineState s = quiet_state();
  CHECK_FALSE(mentions(cautions(quiet_trial(), s), "Torque margin"));
  CHECK_FALSE(mentions(cautions(quiet_trial(), s), "Head pressure"));
  s.limits = {limit("torque", Limit::State::near), limit("die pressure", Limit::State::over)};
  CHECK(mentions(cautions(quiet_trial(), s), "Torque margin is 7 %."));
  CHECK(mentions(cautions(quiet_trial(), s), "Head pressure"));
}

TEST_CASE("cautions: overheated stock by the material's own guide") {
  Trial t = quiet_trial();
  const LineState s = quiet_state();
  for (Feed& f : t.feeds) f.material.degradation_guide = s.summary.highest_temperature + 50;
  CHECK_FALSE(mentions(cautions(t, s), "Overheated polymer"));
  t.feeds.front().material.degradation_guide = s.summary.highest_temperature - 1;
  CHECK(mentions(cautions(t, s), "Overheated polymer"));
}

TEST_CASE("cautions: a family with harmful decomposition asks for review") {
  Trial t = quiet_trial();
  CHECK_FALSE(mentions(cautions(t, quiet_state()), "toxic or corrosive"));
  for (const Hazard h :
       {Hazard::chlorinated, Hazard::fluorinated, Hazard::acetal, Hazard::flame_retarded, Hazard::unknown}) {
    t.feeds.front().material.hazard = h;
    CHECK(mentions(cautions(t, quiet_state()), "toxic or corrosive"));
  }
}

TEST_CASE("cautions: dust where powder is made, not on a melt line") {
  CHECK(mentions(cautions(example_trial("solid"), example_state("solid")), "dust cloud"));
  CHECK(mentions(cautions(example_trial("combined"), example_state("combined")), "dust cloud"));
  CHECK_FALSE(mentions(cautions(quiet_trial(), quiet_state()), "dust cloud"));
}

TEST_CASE("cautions: cold set points condense water, glycol is named") {
  const auto cold = cautions(example_trial("solid"), example_state("solid"));
  CHECK(mentions(cold, "Water will condense"));
  CHECK(mentions(cold, "Coolant may be poisonous"));
  CHECK_FALSE(mentions(cautions(quiet_trial(), quiet_state()), "Water will condense"));
  CHECK_FALSE(mentions(cautions(quiet_trial(), quiet_state()), "Coolant may be"));
}

TEST_CASE("cautions: strands bring cutter and trough, a die brings trapped gas") {
  Trial t = quiet_trial();
  CHECK_FALSE(mentions(cautions(t, quiet_state()), "Cutter and rolls"));
  CHECK(mentions(cautions(t, quiet_state()), "Trapped gas"));
  t.take_off = TakeOff{2.0, 295, {}};
  CHECK(mentions(cautions(t, quiet_state()), "Cutter and rolls"));
  CHECK(mentions(cautions(t, quiet_state()), "Wet floor"));
  CHECK_FALSE(mentions(cautions(example_trial("solid"), example_state("solid")), "Trapped gas"));
}

TEST_CASE("cautions: the assembly sheet warns of hot, heavy screws and of flames") {
  const auto list = build_cautions();
  CHECK(mentions(list, "Lock out drive"));
  CHECK(mentions(list, "Open flames"));
}
