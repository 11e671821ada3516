#include "flow/channel.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <utility>

using doctest::Approx;
using namespace quern;

TEST_CASE("shape factors: series of Tadmor & Gogos (2006), six digits") {
  const double rows[][3] = {{0.05, 0.972862, 0.968488}, {0.1, 0.945724, 0.936975}, {0.2, 0.891449, 0.873950},
                            {0.3, 0.837182, 0.810936},  {0.5, 0.729585, 0.686045}, {1.0, 0.500000, 0.421731},
                            {2.0, 0.270415, 0.171511}};
  for (const auto& [q, drag, pressure] : rows) {
    CAPTURE(q);
    CHECK(std::abs(drag_shape_factor(q) - drag) < 1e-6);
    CHECK(std::abs(pressure_shape_factor(q) - pressure) < 1e-6);
  }
}

TEST_CASE("shape factors: drag at q and 1/q adds up to one; pressure flow is the same duct either way round") {
  for (const double q : {0.07, 0.4, 1.0, 3.0}) {
    CAPTURE(q);
    CHECK(drag_shape_factor(q) + drag_shape_factor(1 / q) == Approx(1).epsilon(1e-9));
    // Q ~ F_P W H³: turning the duct swaps W and H, so F_P(q) = F_P(1/q)/q².
    CHECK(pressure_shape_factor(q) * q * q == Approx(pressure_shape_factor(1 / q)).epsilon(1e-9));
  }
}

TEST_CASE("shape factors: a wide shallow channel has none") {
  CHECK(drag_shape_factor(1e-3) == Approx(1).epsilon(1e-3));
  CHECK(pressure_shape_factor(1e-3) == Approx(1).epsilon(1e-3));
}

TEST_CASE("worked channel: 25 mm screw, lead 1 D, 200 rpm, 10 mm by 4 mm, against 10 MPa on 100 mm") {
  const double V = 0.249466, W = 0.01, H = 0.004, eta = 1000,
               gradient = 10e6 / 0.1 * std::sin(std::atan(1 / 3.14159265));
  const double q = H / W;
  CHECK(drag_shape_factor(q) == Approx(0.783058).epsilon(1e-6));
  CHECK(pressure_shape_factor(q) == Approx(0.748095).epsilon(1e-6));
  const double net =
      drag_shape_factor(q) * W * H * V / 2 - pressure_shape_factor(q) * W * H * H * H / (12 * eta) * gradient;
  CHECK(net == Approx(2.696755e-6).epsilon(3e-6));
}

TEST_CASE("power law between plates: flow and wall stress, six digits") {
  const double half[][3] = {{-2, 0.773540, -0.182268}, {0, 0.5, 1},
                            {1, 0.340429, 1.457427},   {2, 0.226460, 1.817732},
                            {4, -0.059469, 2.490185},  {6, -0.652496, 3.331978}};
  for (const auto& [P, flow, stress] : half) {
    CAPTURE(P);
    CHECK(std::abs(plane_flow(P, 0.5).flow - flow) < 1e-6);
    CHECK(std::abs(plane_flow(P, 0.5).wall_stress - stress) < 1e-6);
  }
  const double third[][2] = {{-2, 0.846678}, {1, 0.259580}, {2, 0.153322}, {4, -0.501450}, {6, -3.165650}};
  for (const auto& [P, flow] : third) CHECK(std::abs(plane_flow(P, 0.3).flow - flow) < 1e-6);
}

TEST_CASE("power law between plates: n = 1 is the Newtonian line") {
  for (const double P : {-4.0, -1e-7, 0.0, 0.5, 3.0, 6.0}) {
    CHECK(plane_flow(P, 1).flow == Approx(0.5 - P / 12).epsilon(1e-9));
    CHECK(plane_flow(P, 1).wall_stress == Approx(1 + P / 2).epsilon(1e-9));
  }
}

TEST_CASE("power law between plates: turning the frame round mirrors the flow") {
  for (const double n : {0.3, 0.5, 0.8})
    for (const double P : {0.7, 2.0, 5.0}) {
      CHECK(plane_flow(P, n).flow == Approx(1 - plane_flow(-P, n).flow).epsilon(1e-9));
      CHECK(plane_flow(-P, n).wall_stress == Approx(plane_flow(P, n).wall_stress - P).epsilon(1e-9));
    }
}

TEST_CASE("closed discharge: gradients at which nothing flows") {
  const double rows[][2] = {{1, 6}, {0.7, 4.522653}, {0.5, 3.719342}, {0.3, 3.022024}};
  for (const auto& [n, P] : rows) CHECK(closed_discharge_gradient(n) == Approx(P).epsilon(1e-6));
}

TEST_CASE("closed discharge: one rate of 2.6 V/H reads the viscosity of every power law within 2 %") {
  // K f^(n-1) (V/H)^(n-1) in the Newtonian form 6 η V/H² must give the exact gradient: f = (P/6)^(1/(n-1)).
  for (const double n : {0.3, 0.4, 0.5, 0.6, 0.7, 0.8}) {
    CAPTURE(n);
    const double gradient = 6 * std::pow(2.6, n - 1);
    CHECK(gradient == Approx(closed_discharge_gradient(n)).epsilon(0.02));
  }
}

TEST_CASE(
    "short of closed discharge the line drawn with that viscosity is off by some 12 % at n = 0.5, 35 % at n = 0.3") {
  for (const auto& [n, off] : {std::pair{0.5, 0.15}, {0.3, 0.4}}) {
    double worst = 0;
    for (double P = 0.1; P < 0.7 * closed_discharge_gradient(n); P += 0.1) {
      const double exact = plane_flow(P, n).flow, line = 0.5 - P / 12 * std::pow(2.6, 1 - n);
      worst = std::max(worst, std::abs(line / exact - 1));
    }
    CHECK(worst < off);
    CHECK(worst > off / 2);
  }
}
