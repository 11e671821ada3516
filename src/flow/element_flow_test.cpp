#include "flow/element_flow.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <limits>
#include <numbers>
#include <random>
#include <vector>

using doctest::Approx;
using doctest::Contains;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double deg = pi / 180;

/// Two starts, diameter ratio 1.55, barrel clearance 0.005 D, screw gap 0.01 D, at a diameter of choice.
Section reference(double D = 1) {
  return {.barrel_bore = 1.01 * D,
          .screw_diameter = D,
          .centre_distance = ((1 + 1 / 1.55) / 2 + 0.01) * D,
          .screw_gap = 0.01 * D};
}
Element conveying(double lead, Hand hand = Hand::forward) { return {.hand = hand, .length = 1, .lead = lead}; }
Element kneading(double stagger, Hand hand = Hand::forward, int discs = 5) {
  return {.kind = ElementKind::kneading, .hand = hand, .length = 0.2 * discs, .discs = discs, .stagger = stagger * deg};
}
Characteristics line(const Element& e) { return element_flow(reference(), e).line; }

/// P* where the pressure gradient vanishes.
double drag_power(const Characteristics& l) { return l.P0 - l.P1 * l.A1; }

std::vector<Element> all_kinds() {
  return {conveying(1),
          conveying(1.5, Hand::reverse),
          kneading(45),
          kneading(90),
          kneading(60, Hand::reverse),
          kneading(120),
          {.kind = ElementKind::spacer_ring, .length = 0.1},
          {.kind = ElementKind::blister_ring, .length = 0.1, .clearance = 0.03}};
}

bool same(const Characteristics& a, const Characteristics& b, double sign = 1) {
  const auto near = [](double x, double y) { return std::abs(x - y) <= 1e-12 * std::max(1.0, std::abs(x)); };
  return near(a.A1, sign * b.A1) && near(a.B, b.B) && near(a.P0, b.P0) && near(a.P1, sign * b.P1);
}

}  // namespace

TEST_CASE("reverse mirrors forward: A1 and P1 change sign, B and the power at no throughput stay") {
  for (const double lead : {0.75, 1.0, 2.0})
    CHECK(same(line(conveying(lead)), line(conveying(lead, Hand::reverse)), -1));
  for (const double stagger : {30.0, 45.0, 60.0})
    CHECK(same(line(kneading(stagger)), line(kneading(stagger, Hand::reverse)), -1));
}

TEST_CASE("a stagger s forward and 180 - s reverse are the same block of two starts") {
  for (const double stagger : {30.0, 45.0, 60.0, 75.0}) {
    CAPTURE(stagger);
    CHECK(same(line(kneading(stagger)), line(kneading(180 - stagger, Hand::reverse))));
    CHECK(same(line(kneading(stagger)), line(kneading(180 - stagger)), -1));
  }
}

TEST_CASE("a neutral block conveys nothing, and its neighbours convey oppositely") {
  CHECK(line(kneading(90)).A1 == 0);
  CHECK(line(kneading(90)).B > 0);
  CHECK(line(kneading(89)).A1 > 0);
  CHECK(line(kneading(91)).A1 < 0);
  CHECK(std::abs(line(kneading(89.9)).A1) < 1e-3);
}

TEST_CASE("reciprocity: the power's slope is A1/B for every element") {
  for (const Element& e : all_kinds()) {
    CAPTURE(describe(e));
    const Characteristics l = line(e);
    CHECK(l.P1 == Approx(l.A1 / l.B).epsilon(1e-12));
  }
}

TEST_CASE("pumping is paid for: P* - V* p* stays positive along the whole line") {
  for (const Element& e : all_kinds()) {
    CAPTURE(describe(e));
    const Characteristics l = line(e);
    for (double V = -1; V <= 1; V += 0.05) CHECK(l.P0 - l.P1 * V - V * (l.A1 - V) / l.B > 0);
  }
}

TEST_CASE("throughput stays below that of a nut, free area times lead") {
  for (const double lead : {0.25, 0.5, 1.0, 1.5, 2.0, 4.0}) {
    CAPTURE(lead);
    const ElementFlow f = element_flow(reference(), conveying(lead));
    CHECK(f.line.A1 > 0);
    CHECK(f.line.A1 < f.free_area * lead);
  }
  for (const double stagger : {20.0, 45.0, 70.0}) {
    const ElementFlow f = element_flow(reference(), kneading(stagger));
    CHECK(f.line.A1 < f.free_area * f.solid_advance);
  }
}

TEST_CASE("characteristics do not change with the size of the machine, lengths do") {
  for (const double D : {0.018, 0.03, 0.05}) {
    Element e = kneading(45);
    e.length *= D;
    const ElementFlow one = element_flow(reference(), kneading(45)), scaled = element_flow(reference(D), e);
    CHECK(scaled.line.A1 == Approx(one.line.A1).epsilon(1e-9));
    CHECK(scaled.line.B == Approx(one.line.B).epsilon(1e-9));
    CHECK(scaled.line.P0 == Approx(one.line.P0).epsilon(1e-9));
    CHECK(scaled.shear_rate_power == Approx(one.shear_rate_power).epsilon(1e-9));
    CHECK(scaled.shear_rate_pressure == Approx(one.shear_rate_pressure).epsilon(1e-9));
    CHECK(scaled.free_area == Approx(one.free_area * D * D).epsilon(1e-9));
    CHECK(scaled.solid_advance == Approx(one.solid_advance * D).epsilon(1e-9));
  }
}

TEST_CASE("an endless lead conveys nothing") {
  CHECK(std::abs(line(conveying(1e9)).A1) < 1e-8);
  CHECK(line(conveying(1e9)).B > line(conveying(2)).B);
}

TEST_CASE("lengths per element: a block cut in two is the same per length") {
  CHECK(same(line(kneading(45, Hand::forward, 5)), line(kneading(45, Hand::forward, 10))));
}

TEST_CASE("solid advance: the lead, or the way round that the discs follow") {
  const auto advance = [](const Element& e) { return element_flow(reference(), e).solid_advance; };
  CHECK(advance(conveying(1.5)) == 1.5);
  CHECK(advance(conveying(1.5, Hand::reverse)) == -1.5);
  CHECK(advance(kneading(45)) == Approx(8 * 0.2));  // a turn is eight discs
  CHECK(advance(kneading(120)) == Approx(-6 * 0.2));
  CHECK(advance(kneading(60, Hand::reverse)) == Approx(-6 * 0.2));
  CHECK(advance(kneading(90)) == 0);
  CHECK(advance({.kind = ElementKind::spacer_ring, .length = 0.1}) == 0);
}

TEST_CASE("equivalent lead: five discs of 6 mm at 45 degrees follow a helix of 48 mm") {
  // Szydlowski, Brzoskowski & White (1987), Int. Polym. Process. 1, 207 (value from memory).
  const Element block{.kind = ElementKind::kneading, .length = 30e-3, .discs = 5, .stagger = 45 * deg};
  CHECK(element_flow(reference(30e-3), block).solid_advance == Approx(48e-3));
}

TEST_CASE("areas and widths follow the profile") {
  const Profile p = profile(reference(), 2);
  const ElementFlow f = element_flow(reference(), conveying(1));
  CHECK(f.free_area == Approx(0.5762).epsilon(1e-4));
  CHECK(f.wetted_bore == Approx(p.bore_perimeter));
  CHECK(f.tip_shear_rate == Approx(pi / 0.005));
  // On average 2n - 1 + nα/π of the 2n tips face the bore, the rest the other screw.
  CHECK(f.tip_land == Approx((3 + 2 * p.alpha / pi) * p.alpha * p.R).epsilon(0.01));
  CHECK(f.tip_land < 4 * p.alpha * p.R);
}

TEST_CASE("rate of power: dissipation of the element run full at no gradient") {
  for (const Element& e : all_kinds()) {
    const ElementFlow f = element_flow(reference(), e);
    CHECK(f.shear_rate_power * f.shear_rate_power * f.free_area == Approx(drag_power(f.line)).epsilon(1e-12));
  }
}

TEST_CASE("rings: torque of concentric cylinders over the part that faces the bore") {
  // 4π μ Ω Ro² Ri²/(Ro² - Ri²) per length; a figure-eight of circles that only touch is two whole bores.
  const Section apart{.barrel_bore = 1.0, .screw_diameter = 0.999999, .centre_distance = 0.9999989, .screw_gap = 0};
  const Element ring{.kind = ElementKind::blister_ring, .length = 0.1, .clearance = 0.1};
  const double Ro = 0.5, Ri = 0.4, omega = 2 * pi;
  const double torque = 4 * pi * omega * Ro * Ro * Ri * Ri / (Ro * Ro - Ri * Ri);
  CHECK(drag_power(element_flow(apart, ring).line) == Approx(2 * torque * omega).epsilon(2e-3));
}

TEST_CASE("rings: two cylinders that all but touch slide past each other with the power of their nearest gap") {
  // all but touching at the line of centres: g = g0 + y²/R near it, so that ∫dy/g = π sqrt(R/g0)
  const double R = 0.3, D = 1;
  const auto at = [&](double gap) {
    const Section s{
        .barrel_bore = 1.01, .screw_diameter = D, .centre_distance = 2 * R + gap, .starts = 1, .screw_gap = 0};
    return drag_power(
        element_flow(s, {.kind = ElementKind::spacer_ring, .starts = 1, .length = 0.1, .clearance = 0.505 - R}).line);
  };
  const double C = 2 * R, slide = std::pow(2 * std::numbers::pi * C, 2) * std::numbers::pi * std::sqrt(R);
  CHECK((at(1e-4) - at(4e-4)) == doctest::Approx(slide * (1 / 1e-2 - 1 / 2e-2)).epsilon(0.05));
}

TEST_CASE("rings: a narrow gap passes perimeter δ³/12 and dissipates π² perimeter/δ") {
  const double gap = 1e-4;
  const Element ring{.kind = ElementKind::blister_ring, .length = 0.1, .clearance = gap};
  const ElementFlow f = element_flow(reference(), ring);
  const double bore = f.wetted_bore;
  CHECK(f.line.A1 == 0);
  CHECK(f.line.B == Approx(bore * gap * gap * gap / 12).epsilon(1e-3));
  CHECK(f.line.P0 == Approx(pi * pi * 1.01 * 1.01 * bore / gap).epsilon(2e-3));
}

TEST_CASE("rings: narrow and wide annuli join") {
  const auto B = [](double gap) {
    return line({.kind = ElementKind::blister_ring, .length = 0.1, .clearance = gap}).B / (gap * gap * gap);
  };
  CHECK(B(0.01 * 0.505 * (1 - 1e-6)) == Approx(B(0.01 * 0.505 * (1 + 1e-6))).epsilon(1e-5));
  CHECK(B(1e-9) == Approx(element_flow(reference(), conveying(1)).wetted_bore / 12).epsilon(1e-6));
}

TEST_CASE("rings: a spacer has the root's diameter unless a clearance is given") {
  Element spacer{.kind = ElementKind::spacer_ring, .length = 0.1};
  const Characteristics bare = line(spacer);
  spacer.clearance = profile(reference(), 2).depth_max;
  CHECK(same(bare, line(spacer)));
  spacer.clearance = 0.05;
  CHECK(line(spacer).B < bare.B);
  Section three = reference();
  three.centre_distance = 0.92, three.starts = 3;
  CHECK_NOTHROW(element_flow(three, spacer));
}

TEST_CASE("wear opens the tips: less throughput and power, more leak, lower rate") {
  for (Element e : {conveying(1), kneading(45)}) {
    const ElementFlow fresh = element_flow(reference(), e);
    e.clearance = 0.01;
    const ElementFlow worn = element_flow(reference(), e);
    CHECK(worn.line.A1 < fresh.line.A1);
    CHECK(worn.line.B > fresh.line.B);
    CHECK(worn.line.P0 < fresh.line.P0);
    CHECK(worn.tip_shear_rate == Approx(fresh.tip_shear_rate / 3));
    CHECK(worn.free_area > fresh.free_area);
  }
}

TEST_CASE("a narrower clearance costs power: halving it, some 35 to 45 % at no throughput") {
  // An independent two-dimensional lubrication solution has +39 % in P0 from 0.005 to 0.0025 D and -23 % to 0.01 D.
  const auto power = [](double gap) {
    Section s = reference();
    s.barrel_bore = 1 + 2 * gap;
    return element_flow(s, conveying(1)).line.P0;
  };
  CHECK(power(0.0025) / power(0.005) == Approx(1.39).epsilon(0.05));
  CHECK(power(0.01) / power(0.005) == Approx(0.77).epsilon(0.05));
}

TEST_CASE("uncertainty grows outside the closure's range") {
  const auto u = [](const Element& e) { return element_flow(reference(), e).uncertainty.B; };
  CHECK(u(conveying(1)) == 0.2);
  CHECK(u(conveying(0.5)) == Approx(0.5));
  CHECK(u(kneading(45)) == 0.35);
  Element thin = kneading(45);
  thin.length = 0.4;
  CHECK(u(thin) > 0.35);
}

TEST_CASE("given characteristics replace the line and leave the geometry, even without clearance") {
  const Section tight{.barrel_bore = 30e-3, .screw_diameter = 30e-3, .centre_distance = 24.6774e-3};
  for (Element e : all_kinds()) {
    CAPTURE(describe(e));
    e.length *= 30e-3, e.lead *= 30e-3, e.clearance *= 30e-3;
    e.characteristics = Characteristics{.A1 = 0.33, .B = 2e-4, .P0 = 2244.5, .P1 = 1650};
    const ElementFlow f = element_flow(tight, e);
    CHECK(f.basis == FlowBasis::given);
    CHECK(f.uncertainty.B == 0);
    CHECK(same(f.line, *e.characteristics));
    for (const double x : {f.free_area, f.wetted_bore, f.tip_land, f.shear_rate_pressure, f.shear_rate_power,
                           f.tip_shear_rate, f.solid_advance})
      CHECK(std::isfinite(x));
  }
  Element given = conveying(45e-3);
  given.characteristics = Characteristics{.A1 = 0.33, .B = 2e-4, .P0 = 2244.5, .P1 = 1650};
  CHECK(element_flow(tight, given).tip_shear_rate == Approx(pi / 0.002));
  CHECK(element_flow(tight, given).free_area == Approx(490.491e-6).epsilon(1e-4));
}

TEST_CASE("what cannot be computed is refused in the reader's words") {
  Section s = reference();
  s.screw_gap = 0;
  CHECK_THROWS_WITH_AS(element_flow(s, conveying(1)), Contains("a screw_gap above zero"), InputError);
  s = reference(), s.barrel_bore = 1;
  CHECK_THROWS_WITH_AS(element_flow(s, kneading(45)), Contains("a barrel_bore larger than screw_diameter"), InputError);
  Element three = conveying(1);
  three.starts = 3;
  CHECK_THROWS_WITH_AS(element_flow(reference(), three), Contains("at most 1.366"), InputError);
  CHECK_THROWS_WITH_AS(element_flow(reference(), conveying(0)), Contains("lead"), InputError);
  CHECK_THROWS_WITH_AS(element_flow(reference(), kneading(180)), Contains("stagger"), InputError);
  CHECK_THROWS_WITH_AS(element_flow(reference(), kneading(std::numeric_limits<double>::quiet_NaN())),
                       Contains("stagger"), InputError);
  const Element ring{.kind = ElementKind::blister_ring, .length = 0.1};
  CHECK_THROWS_WITH_AS(element_flow(reference(), ring), Contains("clearance"), InputError);
}

TEST_CASE("any section and element give finite figures or are refused") {
  std::mt19937 random(7);
  const auto between = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
  const auto size = [&] { return std::pow(10, between(-7, 1)); };
  int computed = 0, refused = 0;
  for (int i = 0; i < 3000; ++i) {
    Section s{.barrel_bore = between(0.9, 1.1),
              .screw_diameter = 1,
              .centre_distance = between(0.4, 1.1),
              .starts = 1 + i % 4,
              .screw_gap = i % 5 == 0 ? 0 : size() * 0.01};
    Element e{.kind = static_cast<ElementKind>(i % 4),
              .hand = i % 3 == 0 ? Hand::reverse : Hand::forward,
              .starts = 1 + i % 3,
              .length = size(),
              .lead = size(),
              .discs = i % 7,
              .stagger = between(-0.5, 4),
              .clearance = i % 2 * size() * 0.01};
    try {
      const ElementFlow f = element_flow(s, e);
      ++computed;
      for (const double x : {f.line.A1, f.line.B, f.line.P0, f.line.P1, f.free_area, f.tip_land, f.shear_rate_pressure,
                             f.shear_rate_power, f.tip_shear_rate, f.solid_advance})
        REQUIRE(std::isfinite(x));
      REQUIRE(f.line.B > 0);
      REQUIRE(f.line.P0 > 0);
      REQUIRE(f.free_area > 0);
    } catch (const InputError& error) {
      ++refused;
      REQUIRE_FALSE(error.faults().empty());
    }
  }
  CHECK(computed > 300);
  CHECK(refused > 300);
}
