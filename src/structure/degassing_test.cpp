#include "structure/degassing.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <random>
#include <set>

using doctest::Approx;
using namespace quern;

namespace {

/// Diffusivity of 1e-10 m2/s at any temperature; 750 over 600 kg/m3; χ = 0.5.
const Volatile plain{.name = "plain",
                     .A = 4,
                     .B = 0,
                     .C = 300,
                     .density = 600,
                     .interaction = 0.5,
                     .diffusivity = 1e-10,
                     .activation = 0};

/// A partly filled stretch of 0.1 m up to 0.5 m under a port.
Exposure open_station(double time = 2) {
  return {
      .position = 0.5, .length = 0.1, .time = time, .temperature = 473.15, .fill = 0.4, .surface = 3e4, .open = true};
}

/// Films alone, no bubbles, perfect vacuum unless a pressure is given.
DegassingParameters films(double pressure = 0) {
  return {.substance = plain, .spaces = {{.from = 0.4, .to = 0.5, .pressure = pressure}}, .pool = 0, .foaming = 1};
}

DegassingParameters of(const Volatile& v, double pressure) {
  DegassingParameters p = degassing_parameters(v, {});
  p.spaces = {{.from = 0.4, .to = 0.5, .pressure = pressure}};
  return p;
}

double left(const DegassingParameters& p, const Exposure& e, double content = 0.01) {
  return advance({content}, e, p).in_melt;
}

/// dw/dt as in the header, by many small steps of the midpoint rule.
double stepped(const DegassingParameters& p, const Exposure& e, double w, int steps) {
  const double rate = transfer_coefficient(1e-10, p.renewal_time) * p.renewal_time * e.surface;
  const double P = p.spaces[0].pressure;
  const double floor = equilibrium_content(p, P, e.temperature),
               bubbling = equilibrium_content(p, p.supersaturation * P, e.temperature);
  const auto slope = [&](double x) { return -(x > bubbling ? p.foaming : 1) * rate * (x - floor); };
  const double dt = e.time / steps;
  for (int i = 0; i < steps; ++i) w += dt * slope(w + dt / 2 * slope(w));
  return w;
}

}  // namespace

TEST_CASE("degassing: 0.1 s of penetration at 1e-10 m2/s is 3.56825e-5 m/s") {  // 2 √(1e-9/π)
  CHECK(transfer_coefficient(1e-10, 0.1) == Approx(3.56825e-5).epsilon(2e-6));
}

TEST_CASE("degassing: 0.05 m2 for 4e-6 m3/s leave 0.640164 of the excess (Latinen 1962)") {
  Exposure e = open_station();
  e.surface = 0.05 / 4e-6 / 0.1 / e.time;  // S/V̇ = surface · renewal time · time
  CHECK(left(films(), e, 1) == Approx(0.640164).epsilon(1e-6));
  const DegassingParameters p = films(1e3);
  const double floor = equilibrium_content(p, 1e3, e.temperature);
  CHECK((left(p, e) - floor) / (0.01 - floor) == Approx(0.640164).epsilon(1e-6));
}

TEST_CASE("degassing: at low content p1/p_sat = 5.6021 w for densities 750/600 and χ = 0.5") {
  const double p_sat = saturation_pressure(plain, 473.15);
  CHECK(partial_pressure(films(), 1e-3, 473.15) / p_sat == Approx(5.6021e-3).epsilon(1e-5));
}

TEST_CASE("degassing: the dilute law is the limit of Flory and Huggins, which ends at 1 for the pure liquid") {
  for (const double chi : {0.0, 0.35, 0.5, 1.2}) {
    CHECK(flory_huggins_activity(1, chi) == 1);
    CHECK(flory_huggins_activity(0, chi) == 0);
    CHECK(flory_huggins_activity(1e-8, chi) / 1e-8 == Approx(std::exp(1 + chi)).epsilon(1e-6));
  }
}

TEST_CASE("degassing: content and pressure at equilibrium are inverses") {
  const DegassingParameters p = of(volatiles()[2], 5000);
  for (const double w : {1e-6, 1e-3, 0.02})
    CHECK(equilibrium_content(p, partial_pressure(p, w, 500), 500) == Approx(w).epsilon(1e-14));
  CHECK(equilibrium_content(p, 1e300, 500) == 1);
}

TEST_CASE("degassing: nothing at all changes without time, free surface, gas space or renewal") {
  const DegassingParameters p = of(volatiles()[3], 1000);
  Exposure still = open_station(0), full = open_station(), elsewhere = open_station();
  full.surface = 0, full.fill = 1;
  elsewhere.position = 0.9;
  for (const Exposure& e : {still, full, elsewhere}) {
    const VolatileContent after = advance({0.0123, 0.0004}, e, p);
    CHECK(after.in_melt == 0.0123);
    CHECK(after.vented == 0.0004);
    CHECK_FALSE(after.foamed);
  }
  DegassingParameters frozen = p;
  frozen.renewal_time = 0;
  CHECK(left(frozen, open_station()) == 0.01);
}

TEST_CASE("degassing: melt below its equilibrium takes nothing up") {
  DegassingParameters p = films(1e5);
  const double floor = equilibrium_content(p, 1e5, 473.15);
  CHECK(left(p, open_station(1e6), floor / 2) == floor / 2);
}

TEST_CASE("degassing: endless time ends at equilibrium with the vapour in the gas; with no vapour, at nothing") {
  for (const double share : {1.0, 0.3}) {
    DegassingParameters p = of(volatiles()[5], 5000);
    p.spaces[0].vapour_share = share;
    CHECK(left(p, open_station(1e9)) == Approx(equilibrium_content(p, share * 5000, 473.15)).epsilon(1e-12));
  }
  CHECK(left(of(volatiles()[5], 0), open_station(1e9)) == 0);
  DegassingParameters stripped = of(volatiles()[5], 101325);
  stripped.spaces[0].vapour_share = 0;
  CHECK(left(stripped, open_station(1e9)) == 0);
}

TEST_CASE("degassing: bubbles speed the loss until their pressure is gone, as stepping the equation says") {
  DegassingParameters p = films(2000);
  p.foaming = 5, p.supersaturation = 3;
  const double bubbling = equilibrium_content(p, 3 * 2000.0, 473.15);
  Exposure e = open_station();
  e.surface = 4e4;
  for (const double start : {0.5 * bubbling, 1.5 * bubbling, 6 * bubbling}) {
    CAPTURE(start);
    CHECK(left(p, e, start) == Approx(stepped(p, e, start, 200000)).epsilon(1e-4));
    CHECK(advance({start}, e, p).foamed == (start > bubbling));
  }
}

TEST_CASE("degassing: what leaves the melt is vented, to round-off, whatever the history") {
  std::mt19937 random(1);
  const auto between = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
  for (const Volatile& v : volatiles()) {
    History history(200, open_station());
    for (Exposure& e : history)
      e.time = between(0, 3), e.temperature = between(350, 600), e.surface = between(0, 1e5), e.fill = between(0, 1);
    const DegassingParameters p = of(v, between(0, 1e4));
    double last = 0.02;
    for (const VolatileContent& c : degas_along({0.02, 0.001}, history, p)) {
      CHECK(c.in_melt + c.vented == Approx(0.021).epsilon(1e-14));
      CHECK(c.in_melt >= 0);
      CHECK(c.in_melt <= last);
      last = c.in_melt;
    }
  }
}

TEST_CASE("degassing: a station in two halves does what the whole does") {
  for (const double pressure : {0.0, 500.0, 5000.0, 101325.0}) {
    const DegassingParameters p = of(volatiles()[5], pressure);
    const double halves = degas_along({0.01}, History(2, open_station(0.05)), p).back().in_melt;
    CHECK(halves == Approx(left(p, open_station(0.1))).epsilon(1e-12));
  }
}

TEST_CASE("degassing: deeper vacuum, hotter melt and longer time leave less") {
  // Latinen (1962); Biesenberger & Sebastian (1983), Principles of Polymerization Engineering, ch. 6 (from memory)
  const Volatile& styrene = volatiles()[2];
  Exposure hotter = open_station();
  hotter.temperature += 20;
  CHECK(left(of(styrene, 1000), open_station()) < left(of(styrene, 5000), open_station()));
  CHECK(left(of(styrene, 5000), hotter) < left(of(styrene, 5000), open_station()));
  CHECK(left(of(styrene, 5000), open_station(3)) < left(of(styrene, 5000), open_station(2)));
}

TEST_CASE("degassing: transfer goes with the root of screw speed at equal time (Latinen 1962)") {
  Exposure e = open_station(), faster = open_station();
  faster.surface *= 2;
  DegassingParameters p = films(), p2 = films();
  p2.renewal_time /= 2;
  CHECK(std::log(left(p2, faster, 1)) / std::log(left(p, e, 1)) == Approx(std::sqrt(2.0)).epsilon(1e-12));
}

TEST_CASE("degassing: pools add their share, the more the fuller") {
  DegassingParameters p = films();
  const double bare = std::log(left(p, open_station(), 1));
  p.pool = 0.3;
  CHECK(std::log(left(p, open_station(), 1)) / bare == Approx(1 + 0.3 / 0.6).epsilon(1e-12));
}

TEST_CASE(
    "degassing: surface multiplies the units of transfer, diffusion by its root, equilibrium divides what stays") {
  const double bare = std::log(left(films(), open_station(), 1));
  DegassingParameters more_surface = films(), more_diffusion = films(), more_pressure = films(1e3);
  more_surface.surface = 1.5, more_diffusion.diffusion = 4, more_pressure.equilibrium = 2;
  CHECK(std::log(left(more_surface, open_station(), 1)) / bare == Approx(1.5).epsilon(1e-12));
  CHECK(std::log(left(more_diffusion, open_station(), 1)) / bare == Approx(2).epsilon(1e-12));
  const double floor = equilibrium_content(films(), 1e3, 473.15);
  CHECK(left(more_pressure, open_station(1e9), 0.5) == Approx(floor / 2).epsilon(1e-12));
}

TEST_CASE("degassing: no input that is a number ends in one that is none") {
  for (const double big : {0.0, 1e-300, 1.0, 1e300}) {
    for (const double T : {0.0, 40.0, 500.0, 1e300}) {
      Exposure e = open_station(big);
      e.temperature = T, e.surface = big;
      for (const double fill : {0.0, 1.0, 2.0}) {
        e.fill = fill;
        for (const Volatile& v : volatiles())
          for (const double pressure : {-1e5, 0.0, 1e-300, 1e300}) {
            const VolatileContent c = advance({0.01}, e, of(v, pressure));
            CHECK(c.in_melt >= 0);
            CHECK(c.in_melt <= 0.01);
            CHECK(c.in_melt + c.vented == Approx(0.01).epsilon(1e-14));
          }
      }
    }
  }
}

TEST_CASE("gas spaces: a vent's gas reaches to the full lengths on either side, and not to closed cavities") {
  History history(7);
  for (std::size_t i = 0; i < history.size(); ++i)
    history[i].length = 0.1, history[i].position = 0.1 * static_cast<double>(i + 1);
  for (const std::size_t i : {1U, 2U, 4U, 6U}) history[i].surface = 1e4;
  history[2].open = history[6].open = true;
  const Vent vents[] = {{.position = 0.25, .pressure = 3000, .vapour_share = 0.8}, {.position = 0.45, .pressure = 10}};
  const auto spaces = gas_spaces(history, vents);
  REQUIRE(spaces.size() == 2);
  CHECK(spaces[0].from == Approx(0.1));
  CHECK(spaces[0].to == Approx(0.3));
  CHECK(spaces[0].pressure == 3000);
  CHECK(spaces[0].vapour_share == 0.8);
  CHECK(spaces[1].from == Approx(0.6));
  CHECK(spaces[1].pressure == 101325);
}

TEST_CASE("gas spaces: vents that share their gas have the pressure of the worse") {
  History history{{.position = 1, .length = 1, .surface = 1e4, .open = true}};
  const Vent vents[] = {{.position = 0.2, .pressure = 9000}, {.position = 0.8, .pressure = 2000}};
  REQUIRE(gas_spaces(history, vents).size() == 1);
  CHECK(gas_spaces(history, vents)[0].pressure == 9000);
  CHECK(gas_spaces({}, vents).empty());
}

TEST_CASE("degassing: coefficients lie in their ranges, have a basis, and count when fixed") {
  std::set<std::string_view> names;
  for (const Coefficient& c : degassing_coefficients()) {
    CAPTURE(c.name);
    CHECK(names.insert(c.name).second);
    CHECK(c.lowest <= c.value);
    CHECK(c.value <= c.highest);
    CHECK(c.uncertainty > 0);
    CHECK(c.calibrated == !c.basis.starts_with("uncalibrated"));
    Coefficients fixed;
    fixed.fix(c.name, c.value * 1.5);
    const DegassingParameters p = degassing_parameters(plain, {}), q = degassing_parameters(plain, fixed);
    const double changes[] = {q.surface - p.surface,     q.pool - p.pool,
                              q.foaming - p.foaming,     q.supersaturation - p.supersaturation,
                              q.diffusion - p.diffusion, q.equilibrium - p.equilibrium};
    CHECK(std::count(std::begin(changes), std::end(changes), 0.0) == 5);
    CHECK(changes[names.size() - 1] == Approx(c.value * 0.5));
  }
}
