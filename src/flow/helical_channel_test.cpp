#include "flow/helical_channel.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr double inf = std::numeric_limits<double>::infinity();

Profile ideal(int starts, double ratio) {
  return profile({.barrel_bore = 1, .screw_diameter = 1, .centre_distance = (1 + 1 / ratio) / 2}, starts);
}

/// Two starts, diameter ratio 1.55, barrel clearance 0.005 D, screw gap 0.01 D.
Profile reference() {
  return profile(
      {.barrel_bore = 1.01, .screw_diameter = 1, .centre_distance = (1 + 1 / 1.55) / 2 + 0.01, .screw_gap = 0.01}, 2);
}

}  // namespace

TEST_CASE("depth integrals agree with a midpoint rule over radius()") {
  const Profile p = reference();
  const DepthIntegrals i = depth_integrals(p, p.barrel_gap());
  constexpr int n = 400000;
  double h1 = 0, h3 = 0, m1 = 0, m2 = 0, m3 = 0;
  for (int k = 0; k < n; ++k) {
    const double h = p.Rb - radius(p, pi * (k + 0.5) / n);
    h1 += h, h3 += h * h * h, m1 += 1 / h, m2 += 1 / (h * h), m3 += 1 / (h * h * h);
  }
  const double dx = i.width / n;
  CHECK(i.width == Approx(pi * p.Rb));
  CHECK(i.h == Approx(h1 * dx).epsilon(1e-6));
  CHECK(i.h_cubed == Approx(h3 * dx).epsilon(1e-6));
  CHECK(i.per_h == Approx(m1 * dx).epsilon(1e-5));
  CHECK(i.per_h_squared == Approx(m2 * dx).epsilon(1e-5));
  CHECK(i.per_h_cubed == Approx(m3 * dx).epsilon(1e-5));
}

TEST_CASE("without clearance the channel is the closed form of depth integrals alone") {
  // A1 = m (π/2) cos φ sin φ R ∫H dθ, B = m sin²φ R ∫H³ dθ/12 with m = 2n - 1; six digits, D = 1.
  struct Row {
    int n;
    double ratio, lead, A1, A2, B;
  };
  for (const Row& row :
       {Row{2, 1.55, 1.5, 0.330750, 1656.20, 1.99704e-4}, Row{2, 1.55, 1.0, 0.245857, 2484.30, 9.89645e-5},
        Row{1, 1.55, 1.0, 0.145215, 2179.88, 6.66159e-5}, Row{3, 1.25, 1.0, 0.155570, 8143.29, 1.91041e-5}}) {
    CAPTURE(row.n);
    CAPTURE(row.lead);
    const ChannelFlow flow = helical_channel(ideal(row.n, row.ratio), 1, row.lead, 0);
    const int m = 2 * row.n - 1;
    CHECK(m * flow.A1 == Approx(row.A1).epsilon(3e-6));
    CHECK(m * flow.B == Approx(row.B).epsilon(3e-6));
    CHECK(flow.A1 / flow.B == Approx(row.A2).epsilon(3e-6));
  }
}

TEST_CASE("the leak vanishes with the clearance: drag with its first power, pressure with its third") {
  const double lead = 1, D = 1;
  const auto at = [&](double gap) {
    Profile p = ideal(2, 1.55);  // the same channel with a tip gap of its own
    return helical_channel(p, D, lead, gap);
  };
  const ChannelFlow sealed = at(0), a = at(1e-4), b = at(2e-4);
  CHECK(at(1e-7).A1 == Approx(sealed.A1).epsilon(2e-6));
  const double drag_ratio = (sealed.A1 - b.A1) / (sealed.A1 - a.A1);
  CHECK(drag_ratio > 1.9);
  CHECK(drag_ratio < 2.1);
  const DepthIntegrals i = depth_integrals(ideal(2, 1.55), 1e-4), j = depth_integrals(ideal(2, 1.55), 2e-4);
  const double pressure_ratio = i.per_h_cubed / j.per_h_cubed;  // the leak's conductance is W²/∫h⁻³
  CHECK(pressure_ratio > 7.5);
  CHECK(pressure_ratio < 8.5);
}

TEST_CASE("the leak over a flat land is V δ/2 and δ³/(12 η e) per length") {
  // Textbook first order: nearly all of ∫h⁻³ lies on the land of width e = α R.
  const Profile p = ideal(1, 1.25);  // a wide land
  const double gap = 1e-4;
  const DepthIntegrals i = depth_integrals(p, gap);
  CHECK(i.per_h_squared / i.per_h_cubed == Approx(gap).epsilon(2e-3));
  CHECK(1 / i.per_h_cubed == Approx(gap * gap * gap / (p.alpha * p.R)).epsilon(2e-3));
}

TEST_CASE("one screw alone in a round bore: independent quadrature of the helical channel") {
  // Two starts, reference clearances, lead 1 D: three figures from an independent one-dimensional code, six digits.
  const ChannelFlow flow = helical_channel(reference(), 1, 1, 0.005);
  CHECK(2 * flow.A1 == Approx(0.165533).epsilon(5e-6));
  CHECK(2 * flow.B == Approx(7.20905e-5).epsilon(5e-6));
  CHECK(2 * flow.c == Approx(1134.44).epsilon(5e-6));
}

TEST_CASE("an infinite lead conveys nothing and leaves the duct along the axis") {
  const Profile p = reference();
  const ChannelFlow flow = helical_channel(p, 1, inf, 0.005);
  CHECK(std::abs(flow.A1) < 1e-15);
  CHECK(flow.B == Approx(depth_integrals(p, 0.005).h_cubed / 12).epsilon(1e-12));
  CHECK(helical_channel(p, 1, 1e-9, 0.005).A1 < 1e-8);  // and a lead of nothing conveys nothing
}

TEST_CASE("dimensionless figures do not change with the size of the machine") {
  const Section s{.barrel_bore = 30.3e-3, .screw_diameter = 30e-3, .centre_distance = 24.8e-3, .screw_gap = 0.2e-3};
  const Section twice{.barrel_bore = 60.6e-3, .screw_diameter = 60e-3, .centre_distance = 49.6e-3, .screw_gap = 0.4e-3};
  const ChannelFlow a = helical_channel(profile(s, 2), 30e-3, 45e-3, 0.15e-3);
  const ChannelFlow b = helical_channel(profile(twice, 2), 60e-3, 90e-3, 0.3e-3);
  CHECK(a.A1 == Approx(b.A1).epsilon(1e-12));
  CHECK(a.B == Approx(b.B).epsilon(1e-12));
  CHECK(a.c == Approx(b.c).epsilon(1e-12));
}

TEST_CASE("shaft power balances dissipation and flow work at every gradient") {
  // Second way: dissipation is Couette η U²/h plus h³|∇p|²/12η, integrated point by point on the strip.
  const Profile p = reference();
  const double lead = 1, phi = std::atan(lead / (2 * pi * p.Rb)), s = std::sin(phi), c = std::cos(phi),
               U = 2 * pi * p.Rb;
  const DepthIntegrals i = depth_integrals(p, 0.005);
  for (const double G : {0.0, 1000.0, -2500.0}) {  // η = N = D = 1
    CAPTURE(G);
    const double q_n = U * s / 2 * i.per_h_squared / i.per_h_cubed + G * c * i.width / (12 * i.per_h_cubed);
    constexpr int n = 400000;
    double dissipation = 0;
    for (int k = 0; k < n; ++k) {
      const double h = p.Rb - radius(p, pi * (k + 0.5) / n), h3 = h * h * h;
      const double along = G * s, normal = 12 / h3 * (U * s * h / 2 - q_n);
      dissipation += (U * U / h + h3 * (along * along + normal * normal) / 12) * i.width / n;
    }
    const ChannelFlow flow = helical_channel(p, 1, lead, 0.005);
    const double V = flow.A1 - flow.B * G, shaft = flow.c + flow.A1 * G;
    CHECK(shaft == Approx(dissipation + V * G).epsilon(1e-6));
  }
}

TEST_CASE("worn tips leak more, convey less and draw less power") {
  const Profile p = reference();
  const ChannelFlow fresh = helical_channel(p, 1, 1, 0.005), worn = helical_channel(p, 1, 1, 0.015);
  CHECK(worn.A1 < fresh.A1);
  CHECK(worn.B > fresh.B);
  CHECK(worn.c < fresh.c);
}
