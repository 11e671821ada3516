#include <cmath>
#include <cstdlib>
#include <doctest/doctest.h>
#include <map>
#include <set>

#include "io/read_trial.hpp"
#include "random_trial.hpp"

using namespace quern;

namespace {

std::set<std::string> documented() {
  std::set<std::string> names;
  for (const StopReason& r : stop_reasons()) names.insert(std::string(r.name));
  return names;
}

/// No figure of a state is NaN or infinite, and both balances close.
bool sound(const LineState& s) {
  for (const auto* v : {&s.profile.temperature, &s.profile.pressure, &s.profile.fill, &s.profile.melt_fraction,
                        &s.profile.residence_time, &s.profile.specific_energy, &s.residence.density})
    for (const double x : *v)
      if (!std::isfinite(x)) return false;
  const Summary& m = s.summary;
  for (const double x :
       {m.mean_residence_time, m.specific_energy, m.outlet_temperature, m.die_pressure, m.torque_share, m.washout_99})
    if (!std::isfinite(x)) return false;
  return std::fabs(s.energy_balance) < 1e-6 && std::fabs(s.mass_balance) < 1e-6;
}

}  // namespace

TEST_SUITE("slow") {
  TEST_CASE("line: 20 000 valid operating points converge or name one of the documented reasons with its place") {
    const std::set<std::string> names = documented();
    REQUIRE(names.size() <= 20);
    std::map<std::string, int> seen;
    const char* many = std::getenv("QUERN_POINTS");
    const int points = many != nullptr ? std::atoi(many) : 20000;
    for (int seed = 0; seed < points; ++seed) {
      const Trial t = RandomTrial(static_cast<std::uint64_t>(seed)).draw();
      CAPTURE(seed);
      const Solved<LineState> s = solve(t, false);
      if (s) {
        ++seen["solved"];
        REQUIRE(sound(*s));
        continue;
      }
      ++seen[s.error().name];
      REQUIRE(names.contains(s.error().name));
      REQUIRE_FALSE(s.error().place.empty());
      REQUIRE_FALSE(s.error().text.empty());
    }
    for (const auto& [name, count] : seen) MESSAGE(name << ": " << count);
    CHECK(seen["line solver"] <= points / 200);  // at least 99.5 % settle one way or the other
  }

  TEST_CASE("line: 100 000 points with one to three inputs outside physics are all refused before solving") {
    const double impossible[] = {-1.0, 0.0, std::nan(""), INFINITY, -INFINITY, 1e300, -1e300};
    Trial good;
    for (int seed = 0; seed < 100000; ++seed) {
      RandomTrial r(static_cast<std::uint64_t>(seed));
      if (seed % 100 == 0) good = r.draw();
      Trial bad = good;
      const int faults = r.whole(1, 3);
      for (int k = 0; k < faults; ++k) {
        const double wrong = impossible[r.whole(0, 6)];
        Element& e =
            bad.screw.elements[static_cast<std::size_t>(r.whole(0, static_cast<int>(bad.screw.elements.size()) - 1))];
        switch (r.whole(0, 13)) {
          case 0:
            bad.screw_speed = wrong;
            break;
          case 1:
            bad.feeds[0].rate = wrong;
            break;
          case 2:
            e.length = wrong;
            break;
          case 3:
            bad.machine.section.screw_diameter = wrong;
            break;
          case 4:
            bad.machine.section.barrel_bore = 0.9 * bad.machine.section.screw_diameter;
            break;
          case 5:
            bad.zone_temperature[0] = wrong;
            break;
          case 6:
            bad.machine.shaft_length = good.machine.shaft_length * (r.chance(0.5) ? 0.99 : 1.01);
            break;
          case 7:
            bad.feeds[0].temperature = wrong;
            break;
          case 8:
            bad.machine.section.centre_distance = wrong;
            break;
          case 9:
            bad.feeds[0].material.thermal.cp_melt = wrong;
            break;
          case 10:
            bad.machine.drive.torque_max = wrong;
            break;
          case 11:
            bad.zone_temperature.pop_back();
            break;
          case 12:
            bad.feeds.clear();
            break;
          default:
            bad.machine.zones[0].length += 0.01;
            break;
        }
        if (bad.feeds.empty() || bad.zone_temperature.empty()) break;
      }
      CAPTURE(seed);
      bool refused = false;
      try {
        (void)solve(bad, false);
      } catch (const InputError& error) {
        refused = !error.faults().empty() && !error.faults().front().field.empty();
      }
      REQUIRE(refused);
    }
  }
}

TEST_CASE("line: the reasons that one can bring about come by name, with place and remedy") {
  std::set<std::string> seen;
  const auto stops = [&](Trial t, const std::string& name) {
    const Solved<LineState> s = solve(t, false);
    REQUIRE_MESSAGE(!s.has_value(), name);
    CHECK(s.error().name == name);
    CHECK_FALSE(s.error().place.empty());
    CHECK(s.error().text.find("What helps") != std::string::npos);
    seen.insert(s.error().name);
  };
  const Trial melt = read_trial("examples/melt.toml"), newton = read_trial("tests/data/newtonian.toml");
  const auto fed = [](Trial t, double factor) {
    for (Feed& f : t.feeds) f.rate *= factor;
    return t;
  };
  stops(fed(melt, 30), "feed floods");
  {
    Trial t = melt;  // a reverse element after the vent
    for (std::size_t i = 0; i < t.screw.elements.size(); ++i)
      if (placement(t.screw)[i].from > 0.75) t.screw.elements[i].hand = Hand::reverse;
    stops(t, "vent floods");
    for (Zone& zone : t.machine.zones)
      if (zone.port == Port::vent) zone.port = Port::side_feed;
    stops(t, "side feed floods");
  }
  {
    Trial t = melt;  // a thread too fine for the granules that arrive
    for (std::size_t i = 0; i < t.screw.elements.size(); ++i)
      if (placement(t.screw)[i].from > 0.1 && placement(t.screw)[i].from < 0.15) t.screw.elements[i].lead = 1e-3;
    stops(t, "screw floods");
  }
  for (std::uint64_t seed = 0; !seen.contains("feed port floods"); ++seed) {  // melt that backs up to the feed is rare
    REQUIRE(seed < 3000);
    const Trial t = RandomTrial(seed).draw();
    if (const auto s = solve(t, false); !s && s.error().name == "feed port floods") stops(t, "feed port floods");
  }
  {
    Trial t = newton;
    t.machine.die->curve = {{0, 0}, {1, 3e11}};
    t.feeds[0].material.viscosity = newtonian(20);
    stops(t, "pressure beyond any machine");
  }
  {
    Trial t = melt;
    for (double& T : t.zone_temperature) T = 290;
    t.feeds[0].material.solid.friction = 0;
    stops(t, "unmelted at the die");
  }
  {
    Trial t = newton;
    t.screw_speed = 10;
    stops(t, "runaway heating");
  }
  {
    Trial t = melt;
    t.numerics.iterations = 5, t.numerics.tolerance = 1e-12;
    stops(t, "line solver");
  }
  CHECK(seen == documented());  // none is documented that no input brings about
}
