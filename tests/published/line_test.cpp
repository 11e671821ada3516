#include <cmath>
#include <doctest/doctest.h>

#include "io/read_trial.hpp"
#include "machine/solve.hpp"

using namespace quern;
using doctest::Approx;

namespace {

Trial newtonian() { return read_trial("tests/data/newtonian.toml"); }
LineState solved(const Trial& trial) {
  const Solved<LineState> state = solve(trial, false);
  REQUIRE_MESSAGE(state.has_value(), (state ? std::string() : state.error().text));
  return *state;
}
const Limit* find(const LineState& s, const std::string& name) {
  for (const Limit& l : s.limits)
    if (l.name == name) return &l;
  return nullptr;
}

}  // namespace

// The closed form: one kind of element with a straight line, a Newtonian liquid without temperature dependence.
TEST_CASE("line: Newtonian liquid against a die follows the closed formulas to 1e-6") {
  const LineState s = solved(newtonian());
  const double N = 200.0 / 60, D = 0.03, eta = 1000, rho = 750, m = 10.0 / 3600, L = 0.9;
  const double A1 = 0.33, B = 2e-4, P0 = 2244.5, P1 = 1650;
  const double V = m / rho, V_star = V / (N * D * D * D), p_die = 20e5;
  const double slope = (A1 - V_star) / B * eta * N / D, backed_up = p_die / slope, fill = V_star / A1;
  const double power = eta * N * N * D * D * (backed_up * (P0 - P1 * V_star) + (L - backed_up) * fill * (P0 - P1 * A1));
  CHECK(s.summary.die_pressure == Approx(p_die).epsilon(1e-9));
  CHECK(s.summary.filled_length == Approx(backed_up).epsilon(1e-6));
  CHECK(s.profile.fill[100] == Approx(fill).epsilon(1e-6));
  CHECK(s.summary.shaft_power == Approx(power).epsilon(1e-6));
  CHECK(s.summary.outlet_temperature == Approx(473.15 + power / (m * 2500)).epsilon(1e-6));  // adiabatic: SE/cp
  CHECK(s.summary.outlet_temperature - 473.15 == Approx(s.summary.specific_energy / 2500).epsilon(1e-6));
  CHECK(s.summary.specific_energy_by_mechanism.pressure == Approx(p_die / rho).epsilon(1e-6));
  CHECK(s.summary.mean_fill == Approx((backed_up + (L - backed_up) * fill) / L).epsilon(1e-6));
  CHECK(s.summary.torque_per_shaft == Approx(power / (4 * M_PI * N)).epsilon(1e-6));
}
TEST_CASE("line: a partially filled screw holds its stock for a time that depends on speed alone") {
  for (const double rate : {2.0, 5.0, 10.0}) {
    Trial t = newtonian();
    t.machine.die.reset();
    t.feeds[0].rate = rate / 3600;
    const LineState s = solved(t);
    const double A = profile(t.machine.section, 2).free_area;
    CAPTURE(rate);
    CHECK(s.summary.mean_residence_time == Approx(0.9 * A / (0.33 * (200.0 / 60) * std::pow(0.03, 3))).epsilon(1e-9));
  }
}
TEST_CASE("line: power and pressure go with viscosity, power with the square of speed") {  // dimensional analysis
  Trial t = newtonian();
  t.machine.die.reset();
  t.feeds[0].material.viscosity = ::quern::newtonian(50);  // the adiabatic stock stays within the heat data
  const double base = solved(t).summary.shaft_power;
  Trial thick = t;
  thick.feeds[0].material.viscosity = ::quern::newtonian(150);
  CHECK(solved(thick).summary.shaft_power == Approx(3 * base).epsilon(1e-9));
  Trial fast = t;
  fast.screw_speed *= 2, fast.feeds[0].rate *= 2;  // the same fill
  CHECK(solved(fast).summary.shaft_power == Approx(4 * base).epsilon(1e-9));
}
TEST_CASE("line: the three examples close mass to 1e-8 and energy to 1e-6, and add up") {
  for (const char* name : {"examples/melt.toml", "examples/solid.toml", "examples/combined.toml"}) {
    CAPTURE(name);
    const LineState s = solved(read_trial(name));
    CHECK(std::fabs(s.mass_balance) < 1e-8);
    CHECK(std::fabs(s.energy_balance) < 1e-6);
    const Summary& m = s.summary;
    CHECK(s.profile.residence_time.back() == m.mean_residence_time);
    CHECK(s.profile.specific_energy.back() == m.specific_energy);
    CHECK(m.residence_by_section.solid + m.residence_by_section.transition + m.residence_by_section.melt ==
          Approx(m.mean_residence_time));
    CHECK(m.specific_energy_by_section.solid + m.specific_energy_by_section.transition +
              m.specific_energy_by_section.melt ==
          Approx(m.specific_energy));
    const ByMechanism& e = m.specific_energy_by_mechanism;
    CHECK(e.solid_friction + e.melting + e.melt_shear + e.pressure == Approx(m.specific_energy));
    double zones = 0, elements = 0;
    for (const ZoneState& z : s.zones) zones += z.specific_energy;
    for (const ElementState& x : s.elements) elements += x.specific_energy;
    CHECK(zones == Approx(m.specific_energy));
    CHECK(elements == Approx(m.specific_energy));
    CHECK(m.shaft_power == Approx(m.specific_energy * m.throughput));
    // the distribution belongs to the same line: its mean is the mean time
    double mean = 0;
    for (std::size_t i = 1; i < s.residence.time.size(); ++i)
      mean += 0.5 *
              (s.residence.time[i] * s.residence.density[i] + s.residence.time[i - 1] * s.residence.density[i - 1]) *
              (s.residence.time[i] - s.residence.time[i - 1]);
    CHECK(mean == Approx(m.mean_residence_time).epsilon(0.01));
  }
}
TEST_CASE("line: a powder leaves a fully chilled line, melt leaves a combined one") {  // common practice, no source
  const LineState cold = solved(read_trial("examples/solid.toml")), both = solved(read_trial("examples/combined.toml"));
  CHECK(cold.profile.melt_fraction.back() < 0.01);
  CHECK(cold.summary.residence_by_section.melt == 0);
  CHECK(both.profile.melt_fraction.back() > 0.99);
  CHECK(both.summary.residence_by_section.solid > 0);
}
TEST_CASE("line: refining the grid converges at first order") {
  std::vector<double> T;
  for (const int cells : {300, 600, 1200, 2400, 4800}) {
    Trial t = read_trial("examples/melt.toml");
    t.numerics.cells = cells;
    T.push_back(solved(t).summary.outlet_temperature);
  }
  for (std::size_t i = 2; i + 1 < T.size(); ++i) {
    const double order = std::log2(std::fabs((T[i] - T[i - 1]) / (T[i + 1] - T[i])));
    CAPTURE(i);
    CHECK(order > 0.6);
    CHECK(order < 1.6);
  }
  CHECK(std::fabs(T[1] - T.back()) < 1.0);  // at the default of 600 cells within 1 K
}
TEST_CASE("line: residence falls as a/Q + b/N, as in the factorial of Unlu & Faller (2002), J. Food Eng. 53, 115") {
  // Their nine geometric means of the time [s] at 8.55, 14.3, 20 kg/h (rows: feed) and 150, 250, 350 rpm, as re-typed;
  // a 30 mm machine of 1160 mm with 447 cm3/m. Screw build and rheology are not known: only the structure is compared.
  const double rate[] = {8.55, 14.3, 20.0}, rpm[] = {150, 250, 350};
  const double measured[3][3] = {{123, 106, 94.4}, {97.6, 77.2, 70.2}, {71.1, 64.7, 56.2}};
  Trial t = newtonian();
  for (const std::size_t i : {8, 15}) {  // two restrictions that stand full, as mixing sections do
    t.screw.elements[i].hand = Hand::reverse;
    t.screw.elements[i].characteristics->A1 *= -1, t.screw.elements[i].characteristics->P1 *= -1;
  }
  t.feeds[0].material.viscosity = ::quern::newtonian(100);
  double tau[3][3];
  std::vector<double> a, b, y;
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3; ++j) {
      t.feeds[0].rate = rate[i] / 3600, t.screw_speed = rpm[j] / 60;
      tau[i][j] = solved(t).summary.mean_residence_time;
      a.push_back(1 / rate[i]), b.push_back(1 / rpm[j]), y.push_back(tau[i][j]);
    }
  double aa = 0, ab = 0, bb = 0, ay = 0, by = 0;
  for (std::size_t k = 0; k < 9; ++k)
    aa += a[k] * a[k], ab += a[k] * b[k], bb += b[k] * b[k], ay += a[k] * y[k], by += b[k] * y[k];
  const double det = aa * bb - ab * ab, ca = (ay * bb - by * ab) / det, cb = (by * aa - ay * ab) / det;
  double rms = 0;
  for (std::size_t k = 0; k < 9; ++k) rms += std::pow((ca * a[k] + cb * b[k]) / y[k] - 1, 2);
  CHECK(ca > 0);
  CHECK(cb > 0);
  CHECK(std::sqrt(rms / 9) < 0.06);  // the measured nine follow the same form to 4.1 s in 84
  for (int i = 0; i < 3; ++i)  // both fall the same way: with speed in every row, with feed in every column
    for (int j = 0; j + 1 < 3; ++j) {
      CHECK((tau[i][j] > tau[i][j + 1]) == (measured[i][j] > measured[i][j + 1]));
      CHECK((tau[j][i] > tau[j + 1][i]) == (measured[j][i] > measured[j + 1][i]));
    }
}
TEST_CASE("line: packs of eight, one point alone, one thread and two agree to 1e-9") {
  for (const char* name : {"examples/melt.toml", "examples/combined.toml", "examples/solid.toml"}) {
    const Trial t = read_trial(name);
    std::vector<Point> points;
    for (int i = 0; i < 21; ++i) points.push_back({throughput(t) * (0.7 + 0.03 * i), t.screw_speed * (1.2 - 0.02 * i)});
    const auto one = solve_map(t, points, 1), two = solve_map(t, points, 2);
    for (std::size_t i = 0; i < points.size(); ++i) {
      CAPTURE(name);
      CAPTURE(i);
      REQUIRE(one[i].has_value() == two[i].has_value());
      if (!one[i]) continue;
      CHECK(one[i]->specific_energy == two[i]->specific_energy);
      Trial alone = t;
      for (Feed& f : alone.feeds) f.rate *= points[i].throughput / throughput(t);
      alone.screw_speed = points[i].screw_speed;
      const LineState s = solved(alone);
      CHECK(s.summary.specific_energy == Approx(one[i]->specific_energy).epsilon(1e-9));
      CHECK(s.summary.outlet_temperature == Approx(one[i]->outlet_temperature).epsilon(1e-9));
      CHECK(s.summary.mean_residence_time == Approx(one[i]->mean_residence_time).epsilon(1e-9));
    }
  }
}
TEST_CASE(
    "line: more energy arrives with speed and less with feed; more throughput shortens the stay") {  // common practice, no source
  const Trial t = read_trial("examples/melt.toml");
  const double m = throughput(t), N = t.screw_speed;
  const Point points[] = {{m, N}, {m, 1.2 * N}, {0.8 * m, N}};
  const auto r = solve_map(t, points, 1);
  CHECK(r[1]->specific_energy > r[0]->specific_energy);
  CHECK(r[2]->specific_energy > r[0]->specific_energy);
  CHECK(r[2]->mean_residence_time > r[0]->mean_residence_time);
}
TEST_CASE("line: 25 mm times an L/D of 35 is 875 mm, and 25 hp are 18.64 kW") {  // common practice, no source
  CHECK(35 * quantity("25 mm", Kind::length) == Approx(quantity("875 mm", Kind::length)));
  CHECK(quantity("25 hp", Kind::power) == Approx(18642.5).epsilon(1e-4));
}
TEST_CASE("line: limits carry value, limit and margin that agree") {
  const LineState s = solved(read_trial("examples/combined.toml"));
  for (const char* name : {"torque", "power", "intake", "softening", "chiller", "zone heating", "zone cooling", "vent",
                           "die pressure", "melt temperature", "freeze-off", "strand core"}) {
    CAPTURE(name);
    const Limit* l = find(s, name);
    REQUIRE(l != nullptr);
    CHECK(std::fabs(std::fabs(l->value - l->limit) - std::fabs(l->margin)) < 1e-9 * std::fabs(l->limit));
    CHECK((l->margin < 0) == (l->state == Limit::State::over));
    CHECK_FALSE(l->text.empty());
  }
}
