#include "flow/disc_edge.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <limits>

#include "flow/channel.hpp"

using doctest::Approx;
using namespace quern;

namespace {
constexpr double pi = boost::math::constants::pi<double>();

/// In units of the deep gap. @param alpha h_s/h_d @param eta h_d/w
DiscEdge edge(double alpha, double eta) { return disc_edge(alpha, 1, 1 / eta); }

constexpr std::initializer_list<double> alphas{0.012, 0.03, 0.07, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 0.98};
constexpr std::initializer_list<double> etas{0.05, 0.2, 0.45, 0.7, 1.0, 1.4, 1.9, 2.3};
}  // namespace

TEST_CASE("disc edge: no step changes nothing") {
  for (const double eta : etas) {
    CAPTURE(eta);
    const DiscEdge e = edge(1, eta);
    CHECK(e.along_deep == 1);
    CHECK(e.along_shallow == 1);
    CHECK(e.drag_deep == 1);
    CHECK(e.drag_shallow == 1);
    CHECK(e.across == 0);
    CHECK(e.shear == 0);
  }
}

TEST_CASE("disc edge: between tips that almost touch the barrel the deep disc is a rectangular duct") {
  for (const double eta : etas) {
    CAPTURE(eta);
    CHECK(edge(0.01, eta).along_deep == Approx(pressure_shape_factor(eta)).epsilon(0.002));
    // duct whose one wall rests = all moving (2) less that wall alone moving
    CHECK(edge(0.01, eta).drag_deep == Approx(2 - drag_shape_factor(eta)).epsilon(0.002));
  }
}

TEST_CASE("disc edge: a side wall displaces 0.630 of half the depth in a wide duct") {
  const double eta = 0.05;
  CHECK((1 - edge(0.01, eta).along_deep) / (2 * eta) == Approx(0.6302 / 2).epsilon(0.001));
}

TEST_CASE("disc edge: shear of a lone edge is the fringing capacitance of a step, Whinnery & Jamieson (1944)") {
  for (const double a : alphas) {
    CAPTURE(a);
    const double C = ((a * a + 1) / a * std::log((1 + a) / (1 - a)) - 2 * std::log(4 * a / (1 - a * a))) / pi;
    CHECK(edge(a, 0.02).shear == Approx(C).epsilon(0.002));
  }
}

TEST_CASE("disc edge: shear lies between no face at all and the shallow gap everywhere") {  // Thomson and Dirichlet
  for (const double a : alphas)
    for (const double eta : etas) {
      CAPTURE(a);
      CAPTURE(eta);
      CHECK(edge(a, eta).shear > 0);
      CHECK(edge(a, eta).shear < (1 / a - 1) / (2 * eta));
    }
}

TEST_CASE("disc edge: flow across meets more than lubrication and less than the shallow gap everywhere") {
  for (const double a : alphas)  // least dissipation: both are trial fields of the same flow
    for (const double eta : etas) {
      CAPTURE(a);
      CAPTURE(eta);
      CHECK(edge(a, eta).across > 0);
      CHECK(edge(a, eta).across < (1 - a * a * a) / (2 * eta * a));
    }
}

TEST_CASE("disc edge: across a small step the shallow half gains what the deep half loses") {
  // Total flow and drag change at first order only by the mean gap, which lubrication has already.
  const double a = 0.99;
  for (const double eta : etas) {
    CAPTURE(eta);
    const DiscEdge e = edge(a, eta);
    CHECK((e.along_shallow - 1) * a * a * a == Approx(1 - e.along_deep).epsilon(0.04));
    CHECK((1 - e.drag_shallow) * a == Approx(e.drag_deep - 1).epsilon(0.06));
  }
}

TEST_CASE("disc edge: the face slows the deep half and drags it; the shallow half leans on the deep one") {
  for (const double a : alphas)
    for (const double eta : etas) {
      CAPTURE(a);
      CAPTURE(eta);
      const DiscEdge e = edge(a, eta);
      CHECK(e.along_deep < 1);
      CHECK(e.along_shallow > 1);
      CHECK(e.drag_deep > 1);
      CHECK(e.drag_shallow < 1);
      CHECK(a * a * a * (e.along_shallow - 1) < 1 - e.along_deep);  // a wall never speeds the whole flow
      CHECK(a * (1 - e.drag_shallow) < e.drag_deep - 1);            // moving walls never slow the whole drag
    }
}

TEST_CASE("disc edge: thinner discs and higher steps are hindered more") {
  for (double a = 0.01; a < 0.985; a += 0.01)
    for (double eta = 0.05; eta < 2.35; eta += 0.05) {
      CAPTURE(a);
      CAPTURE(eta);
      const DiscEdge here = edge(a, eta), thinner = edge(a, eta + 0.05), lower = edge(a + 0.01, eta);
      CHECK(thinner.along_deep < here.along_deep);
      CHECK(thinner.drag_deep > here.drag_deep);
      CHECK(lower.along_deep > here.along_deep - 0.0005);  // level at both ends of alpha: up to the table's error
      CHECK(lower.drag_deep < here.drag_deep);
      CHECK(lower.across < here.across + 0.002);
      CHECK(lower.shear < here.shear);
    }
}

TEST_CASE("disc edge: neither the unit nor the order of the gaps matters") {
  const DiscEdge one = disc_edge(0.3, 2.5, 4), other = disc_edge(2.5e-3, 0.3e-3, 4e-3);
  CHECK(one.along_deep == Approx(other.along_deep).epsilon(1e-12));
  CHECK(one.along_shallow == Approx(other.along_shallow).epsilon(1e-12));
  CHECK(one.drag_deep == Approx(other.drag_deep).epsilon(1e-12));
  CHECK(one.drag_shallow == Approx(other.drag_shallow).epsilon(1e-12));
  CHECK(one.across == Approx(other.across).epsilon(1e-12));
  CHECK(one.shear == Approx(other.shear).epsilon(1e-12));
}

TEST_CASE("disc edge: beyond the table the nearest cell answers, and says so") {
  CHECK(disc_edge_in_range(0.01, 0.9, 0.4));
  CHECK_FALSE(disc_edge_in_range(0.01, 1, 0.4));
  CHECK_FALSE(disc_edge_in_range(0.008, 0.9, 0.4));
  CHECK_FALSE(disc_edge_in_range(0, 0, 0));
  CHECK(edge(0.001, 1).shear == edge(0.01, 1).shear);
  CHECK(edge(0.5, 9).along_deep == edge(0.5, 2.4).along_deep);
}

TEST_CASE("disc edge: nonsense gives finite factors") {
  const double nan = std::numeric_limits<double>::quiet_NaN(), inf = std::numeric_limits<double>::infinity();
  for (const double x : {0.0, -1.0, 1.0, nan, inf, -inf})
    for (const double y : {0.0, -1.0, 1.0, nan, inf})
      for (const double w : {0.0, -1.0, 1.0, nan, inf}) {
        const DiscEdge e = disc_edge(x, y, w);
        CHECK(std::isfinite(e.along_deep + e.along_shallow + e.drag_deep + e.drag_shallow + e.across + e.shear));
        CHECK_NOTHROW(disc_edge_in_range(x, y, w));
      }
}
