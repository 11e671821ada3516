#include "structure/particle_fusion.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

double number(const PerSize& mass) {
  double sum = 0;
  for (int i = 0; i < size_classes; ++i) sum += std::ldexp(mass[i], -i);
  return sum;
}
PerSize in_steps(PerSize mass, const Joining& joining, double time, int steps) {
  for (int n = 0; n < steps; ++n) mass = joined(mass, joining, time / steps);
  return mass;
}
PerSize alike_in(int i) {
  PerSize mass{};
  mass[i] = 1;
  return mass;
}
PerSize even_rates(double k) {
  PerSize rates{};
  rates.fill(k);
  return rates;
}

}  // namespace

TEST_CASE("joining: N/N0 = 2/3 and 1/2 at K N0 t = 1 and 2 (Smoluchowski 1917)") {
  CHECK(number_left(1) == Approx(2.0 / 3).epsilon(1e-15));
  CHECK(number_left(2) == Approx(0.5).epsilon(1e-15));
}
TEST_CASE("joining by class: the number falls as Smoluchowski's constant kernel says, the error with the step") {
  const PerSize start = alike_in(5);
  const Joining joining = constant_kernel(1 / number(start));  // K N0 = 1
  for (const double doses : {1.0, 2.0}) {
    CAPTURE(doses);
    double before = 0;
    for (const int steps : {50, 100, 200, 400}) {
      const double error = number(in_steps(start, joining, doses, steps)) / number(start) - number_left(doses);
      if (before != 0) CHECK(before / error == Approx(2).epsilon(0.05));  // first order
      before = error;
    }
    CHECK(std::fabs(before) < 2e-3);
  }
}
TEST_CASE("joining by class: a wide feed loses number as fast as a narrow one under a constant kernel") {
  // dN/dt = -K N²/2 whatever the sizes
  PerSize start{};
  for (int i = 4; i < 12; ++i) start[i] = 0.125;
  const Joining joining = constant_kernel(1 / number(start));
  CHECK(number(in_steps(start, joining, 1, 2000)) / number(start) == Approx(2.0 / 3).epsilon(1e-3));
}
TEST_CASE("necks: gamma 0.03 N/m, 10 kPa s, radius 0.1 mm, 10 s give 0.6708 of the radius (Frenkel 1945)") {
  CHECK(neck_over_radius(0.03, 10, 1e4, 1e-4) == Approx(0.6708).epsilon(1e-4));
  CHECK(necking_rate(0.03, 1e4, 1e-4, neck_over_radius(0.03, 10, 1e4, 1e-4)) == Approx(0.1).epsilon(1e-12));
}
TEST_CASE("packed contacts: spheres alike have z contacts each, so N = N0 exp(-z k t/2) at first (Kapur 1969)") {
  const PerSize start = alike_in(9);
  const Joining joining = packed_contacts(start, even_rates(0.5), 6);
  const double t = 1e-4;
  CHECK(1 - number(joined(start, joining, t)) / number(start) == Approx(0.5 * 6 * 0.5 * t).epsilon(1e-3));
  CHECK(joined_per_time(start, joining) == Approx(6 * 0.5).epsilon(1e-12));
}
TEST_CASE("packed contacts: a powder twice as much has the same rates") {  // contacts, not collisions
  const PerSize powder = rosin_rammler(200e-6, 1);
  PerSize twice = powder;
  for (double& m : twice) m *= 2;
  const PerSize once = joined(powder, packed_contacts(powder, even_rates(0.1), 6), 2);
  const PerSize both = joined(twice, packed_contacts(twice, even_rates(0.1), 6), 2);
  for (int i = 0; i < size_classes; ++i) CHECK(both[i] == Approx(2 * once[i]).epsilon(1e-12));
}
TEST_CASE("joining: mass is kept to round-off, positive, and no time changes nothing") {
  const PerSize powder = rosin_rammler(200e-6, 1);
  for (const double rate : {0.0, 1e-9, 1.0, 1e9, 1e300}) {
    const Joining joining = packed_contacts(powder, even_rates(rate), 6);
    for (const double time : {0.0, 1e-3, 10.0, 1e12, 1e300}) {
      CAPTURE(rate);
      CAPTURE(time);
      const PerSize mass = joined(powder, joining, time);
      CHECK(total(mass) == Approx(total(powder)).epsilon(1e-13));
      for (const double m : mass) CHECK(m >= 0);
      if (time == 0) CHECK(mass == powder);
    }
  }
}
TEST_CASE("joining: the pace announced is the mass that moves up a class, in a short time") {
  PerSize two{};
  two[10] = 0.3, two[14] = 0.7;
  const Joining joining = packed_contacts(two, even_rates(0.2), 6);
  const double t = 1e-7;
  const PerSize mass = joined(two, joining, t);
  CHECK((mass[11] + mass[15]) / t == Approx(joined_per_time(two, joining)).epsilon(1e-5));
}
TEST_CASE("joining: particles only grow: no size is passed by more mass afterwards") {
  const PerSize powder = rosin_rammler(200e-6, 1);
  const PerSize mass = joined(powder, packed_contacts(powder, even_rates(0.01), 6), 1);
  double before = 0, after = 0;
  for (int i = 0; i < size_classes; ++i) {
    before += powder[i];
    after += mass[i];
    CHECK(after <= before + 1e-15);
  }
}
TEST_CASE("joining: an empty population stays empty") {
  CHECK(joined(PerSize{}, packed_contacts(PerSize{}, even_rates(1), 6), 1) == PerSize{});
}
