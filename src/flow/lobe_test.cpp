#include "flow/lobe.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <random>

#include "flow/element_example.hpp"
#include "flow/helical_channel.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();

struct Factors {
  double mobility, drag, shear;
};

/// What slopes change at one profile angle, and that slope, helix included.
Factors factors_at(const ElementShape& shape, double angle) {
  constexpr double step = 1e-4;
  const Lobe::Sums with = Lobe(shape, true, false).between(angle - step, angle + step),
                   without = Lobe(shape, false, false).between(angle - step, angle + step);
  return {without.resistance / with.resistance, with.drag / with.resistance * without.resistance / without.drag,
          with.shear / without.shear};
}
double slope_at(const ElementShape& shape, double angle) {
  const Profile p = shape.profile();
  const double r = radius(p, angle), middle = (r + p.Rb) / 2;
  return std::abs(radius_slope(p, angle)) * std::hypot(1 / middle, 2 * pi / shape.lead);
}

}  // namespace

// depth_integrals is an independent quadrature, itself held against closed forms.
TEST_CASE("lobe: sums over a period are the integrals of the profile's gap") {
  for (const double wear : {0.0, 0.01}) {
    CAPTURE(wear);
    ElementShape shape = conveying_example(1);
    shape.wear = wear;
    const Profile p = shape.profile();
    const DepthIntegrals i = depth_integrals(p, shape.tip_gap());
    const Lobe lobe(shape, false, false);
    const Lobe::Sums s = lobe.between(0.3, 0.3 + pi);
    const double U = 2 * pi * p.Rb;
    CHECK(lobe.speed() == Approx(U));
    CHECK(p.Rb * s.area == Approx(i.h).epsilon(1e-8));
    CHECK(p.Rb * s.resistance == Approx(12 * i.per_h_cubed).epsilon(1e-8));
    CHECK(p.Rb * s.resistance_axial == Approx(12 * i.per_h_cubed).epsilon(1e-8));
    CHECK(p.Rb * s.drag == Approx(6 * U * i.per_h_squared).epsilon(1e-8));
    CHECK(p.Rb * s.drag_square == Approx(3 * U * U * i.per_h).epsilon(1e-8));
    CHECK(p.Rb * s.shear == Approx(U * U * i.per_h).epsilon(1e-8));
  }
}

TEST_CASE("lobe: intervals add up, repeat after a period, and mirror at a tip") {
  const Lobe lobe(conveying_example(1), true, true);
  std::mt19937 random(5);
  std::uniform_real_distribution<double> angle(-7, 7), width(0, 4);
  for (int i = 0; i < 200; ++i) {
    const double a = angle(random), b = a + width(random), m = a + (b - a) * 0.37;
    CAPTURE(a);
    CAPTURE(b);
    const Lobe::Sums whole = lobe.between(a, b), first = lobe.between(a, m), second = lobe.between(m, b),
                     later = lobe.between(a + pi, b + pi), mirrored = lobe.between(-b, -a);
    for (const auto part : {&Lobe::Sums::resistance, &Lobe::Sums::drag, &Lobe::Sums::drag_square, &Lobe::Sums::shear,
                            &Lobe::Sums::tip_shear, &Lobe::Sums::area, &Lobe::Sums::resistance_axial}) {
      const double scale = lobe.between(0, pi).*part;
      CHECK(std::abs(first.*part + second.*part - whole.*part) < 1e-12 * scale);
      CHECK(std::abs(later.*part - whole.*part) < 1e-12 * scale);
      CHECK(std::abs(mirrored.*part - whole.*part) < 1e-12 * scale);
      CHECK(whole.*part >= 0);
    }
  }
}

TEST_CASE("lobe: short intervals hold the rate at their middle, land, flank and root") {
  const ElementShape shape = conveying_example(1);
  const Lobe lobe(shape, true, false);
  const double U = lobe.speed();
  for (const double a : {0.05, 0.17, 0.3, 0.6, 1.0, 1.3, 1.5}) {
    CAPTURE(a);
    const Lobe::Sums s = lobe.between(a - 1e-4, a + 1e-4);
    const double h = shape.profile().Rb - radius(shape.profile(), a), slope = slope_at(shape, a);
    CHECK(lobe.depth(a) == Approx(h).epsilon(1e-12));
    CHECK(s.area / 2e-4 == Approx(h).epsilon(1e-6));
    CHECK(s.shear / 2e-4 == Approx(U * U / h * (slope > 1e-3 ? slope / std::atan(slope) : 1)).epsilon(1e-4));
    CHECK(2e-4 / s.resistance == Approx(lobe.mobility_axial(a)).epsilon(1e-4));
  }
}

TEST_CASE("lobe: tips shear at U/gap over their land, worn tips over a wider one") {
  ElementShape shape = conveying_example(1);
  const Lobe fresh(shape, true, true);
  const double U = fresh.speed(), alpha = shape.profile().alpha;
  CHECK(fresh.land_edge() == Approx(alpha / 2).epsilon(1e-12));
  CHECK(fresh.between(0, pi).tip_shear == Approx(U * U / 0.005 * alpha).epsilon(1e-9));
  shape.wear = 0.02;
  const Lobe worn(shape, true, true);
  CHECK(worn.land_edge() > alpha / 2);
  CHECK(worn.depth(worn.land_edge() * 0.999) == Approx(0.025).epsilon(1e-12));
  CHECK(worn.depth(worn.land_edge() * 1.01) > 0.025);
  CHECK(worn.between(0, pi).tip_shear == Approx(U * U / 0.025 * 2 * worn.land_edge()).epsilon(1e-9));
}

// Stokes flow in a wedge of angle β, r along its flat wall, h = r tan β. Converging flow Q has there the pressure gradient
// 4 η cos β/(sin β - β cos β) Q/r³ (Jeffery and Hamel, creeping limit). A wall that slides along the edge drags
// u = U φ/β: U r β/2 through the sector at r, and a stress η U/(r β) on the flat wall.
TEST_CASE("lobe: on flanks mobility, drag and shear are the exact ones of a wedge") {
  for (const double lead : {0.75, 1.0, 2.0})
    for (const double angle : {0.25, 0.5, 0.8, 1.1}) {
      const ElementShape shape = conveying_example(lead);
      const double s = slope_at(shape, angle), beta = std::atan(s), h = s;  // at r = 1
      CAPTURE(lead);
      CAPTURE(angle);
      CAPTURE(s);
      const Factors f = factors_at(shape, angle);
      const double mobility = (std::sin(beta) - beta * std::cos(beta)) / (4 * std::cos(beta));
      CHECK(f.mobility == Approx(mobility / (h * h * h / 12)).epsilon(1e-5));
      CHECK(f.drag == Approx(beta / 2 / (h / 2)).epsilon(1e-5));
      CHECK(f.shear == Approx(1 / beta / (1 / h)).epsilon(1e-5));
    }
}

TEST_CASE("lobe: gentle slopes change nothing, and neither do lands and roots") {
  const ElementShape shape = conveying_example(1);
  for (const double angle : {0.1, 1.5}) {
    const Factors f = factors_at(shape, angle);
    CHECK(f.mobility == Approx(1).epsilon(1e-9));
    CHECK(f.drag == Approx(1).epsilon(1e-9));
    CHECK(f.shear == Approx(1).epsilon(1e-9));
  }
}

// Closed form of Stokes flow along an annulus; below 0.01 of the radius the model takes its first order.
TEST_CASE("lobe: a round shaft passes along its axis what an annulus does") {
  for (const double gap : {0.002, 0.0045, 0.006, 0.05, 0.18}) {
    CAPTURE(gap);
    const double Ro = 0.5005, Ri = Ro - gap;
    const double ring =
        pi / 8 * (std::pow(Ro, 4) - std::pow(Ri, 4) - std::pow(Ro * Ro - Ri * Ri, 2) / std::log(Ro / Ri));
    const Lobe lobe(round_example(gap), true, true);
    CHECK(2 * pi * Ro * 2 * pi / lobe.between(0, 2 * pi).resistance_axial == Approx(ring).epsilon(3e-5));
  }
}

// Torque of concentric cylinders, 4π μ Ω Ri² Ro²/(Ro² - Ri²) per length (Couette).
TEST_CASE("lobe: the torque of concentric cylinders in narrow gaps, flat walls 3/2 gap/R above it") {
  for (const double gap : {0.002, 0.005, 0.01}) {
    CAPTURE(gap);
    const double Ro = 0.5005, Ri = Ro - gap, omega = 2 * pi;
    const double exact = 4 * pi * omega * omega * Ri * Ri * Ro * Ro / (Ro * Ro - Ri * Ri);
    const double flat_walls = Ro * Lobe(round_example(gap), true, true).between(0, 2 * pi).shear;
    CHECK(flat_walls / exact - 1 == Approx(1.5 * gap / Ro).epsilon(0.05));
  }
}
