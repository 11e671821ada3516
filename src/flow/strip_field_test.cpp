#include "flow/strip_field.hpp"

#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <doctest/doctest.h>
#include <numeric>

#include "flow/element_example.hpp"
#include "flow/helical_channel.hpp"
#include "flow/nip_strip.hpp"

using doctest::Approx;
using namespace quern;

namespace {

constexpr double pi = boost::math::constants::pi<double>();
constexpr StripGrid grid{.across = 48, .nip = 16, .rows_per_disc = 4, .rows = 16};

/// Sum over the links of one kind: lobes or nip.
double over(const StripField& f, const std::vector<double>& v, bool lobes) {
  const auto middle = v.begin() + 2 * f.lobe_links * f.topology.rows;
  return lobes ? std::accumulate(v.begin(), middle, 0.0) : std::accumulate(middle, v.end(), 0.0);
}
double volume(const StripField& f) {
  std::vector<double> v(f.depth);
  for (std::size_t i = 0; i < v.size(); ++i) v[i] *= f.area[i];
  return over(f, v, true);
}
StripField field(const ElementShape& shape, const StripModel& model = {}, Run run = Run::endless, double turn = 0.3) {
  return StripFields(shape, grid, model, run).at(turn);
}

}  // namespace

TEST_CASE("strip field: links cover the bore and the plane between the screws") {
  for (const ElementShape& shape : {conveying_example(1), kneading_example(45), kneading_example(90)}) {
    const StripField f = field(shape);
    const Profile p = shape.profile();
    CHECK(over(f, f.area, true) == Approx(p.bore_perimeter * f.length).epsilon(1e-12));
    CHECK(over(f, f.area, false) == Approx(NipStrip(shape, 8).height() * f.length).epsilon(1e-12));
    CHECK(f.row * f.topology.rows == Approx(f.length).epsilon(1e-12));
    CHECK(f.lobe_speed == Approx(2 * pi * p.Rb));
    CHECK(f.nip_speed == Approx(2 * pi * shape.centre));
  }
}

// Over lead/starts each place of the bore sees a whole period of the profile, whose mean depth is known.
TEST_CASE("strip field: a conveying element holds the profile's mean depth times the bore") {
  const ElementShape shape = conveying_example(1);
  const DepthIntegrals i = depth_integrals(shape.profile(), shape.tip_gap());
  const double expected = i.h / i.width * shape.profile().bore_perimeter * 0.5;
  const auto error = [&](int across) {  // the depth of a link is that of the pressure flow: low where a tip begins
    const StripGrid fine{.across = across, .nip = 16, .rows = across / 4};
    return 1 - volume(StripFields(shape, fine, {}, Run::endless).at(0.3)) / expected;
  };
  CHECK(error(48) > 0);
  CHECK(error(48) < 0.03);
  CHECK(error(192) < error(48) / 3);
  CHECK(expected / 0.5 == Approx(0.6152).epsilon(1e-4));  // independent reference implementation of our own
}

TEST_CASE("strip field: Couette power of the lobes is that of the profile, nothing lost between cells") {
  const ElementShape shape = conveying_example(1);
  const StripField f = field(shape, flat);
  const DepthIntegrals i = depth_integrals(shape.profile(), shape.tip_gap());
  const double U = f.lobe_speed, mean = U * U * i.per_h / i.width;
  CHECK(over(f, f.shear, true) == Approx(mean * shape.profile().bore_perimeter * f.length).epsilon(2e-3));
  const double tips = U * U / 0.005 * shape.profile().alpha * 0.505 / i.width;
  CHECK(over(f, f.tip_shear, true) == Approx(tips * shape.profile().bore_perimeter * f.length).epsilon(5e-3));
}

TEST_CASE("strip field: everything that conducts is positive or, where screws close a column, zero") {
  for (const auto join : {StripModel::Join::plain, StripModel::Join::sealed, StripModel::Join::nip})
    for (const Run run : {Run::endless, Run::block}) {
      const StripField f = field(kneading_example(30), joined({}, join), run);
      for (std::size_t i = 0; i < f.conductance.size(); ++i) {
        CHECK(f.conductance[i] > 0);
        CHECK(f.drag_loss[i] >= -1e-10 * f.shear[i]);  // a difference of sums
        CHECK(f.shear[i] > 0);
        CHECK(f.depth[i] >= 0.005 * (1 - 1e-12));
      }
      for (std::size_t i = 0; i < f.along.size(); ++i) {
        CHECK(f.along[i] >= 0);
        CHECK(f.axial[i] >= 0);
      }
    }
}

TEST_CASE("strip field: a turn of one period leaves it as it was, and lobes change roles after half of one") {
  const ElementShape shape = kneading_example(45);
  const StripField f = field(shape), later = field(shape, {}, Run::endless, 0.3 + pi),
                   half = field(shape, {}, Run::endless, 0.3 + pi / 2);
  const auto lobe = static_cast<std::size_t>(f.lobe_links * f.topology.rows);
  for (std::size_t i = 0; i < f.conductance.size(); ++i) {
    CHECK(f.conductance[i] == Approx(later.conductance[i]).epsilon(1e-9));
    CHECK(f.drag[i] == Approx(later.drag[i]).epsilon(1e-9));
  }
  for (std::size_t i = 0; i < lobe; ++i) {
    CHECK(f.conductance[i] == Approx(half.conductance[i + lobe]).epsilon(1e-9));
    CHECK(f.conductance[i + lobe] == Approx(half.conductance[i]).epsilon(1e-9));
  }
}

TEST_CASE("strip field: staircases repeat after as many discs as their stagger takes for half a turn") {
  const auto discs = [](double degrees) {
    const StripField f = field(kneading_example(degrees));
    return f.topology.rows / grid.rows_per_disc;
  };
  CHECK(discs(90) == 2);
  CHECK(discs(60) == 3);
  CHECK(discs(45) == 4);
  CHECK(discs(30) == 6);
  CHECK(field(kneading_example(45), {}, Run::block).topology.rows == 5 * grid.rows_per_disc);
}

TEST_CASE("strip field: what flows through a sealed nip enters one cusp and leaves the other") {
  const StripField f = field(kneading_example(45), joined(flat, StripModel::Join::sealed));
  CHECK(f.topology.strands.size() == 2);
  const double J = sealed_nip_flux(kneading_example(45).profile(), 0.3) * f.row;
  CHECK(f.source[0] == Approx(J));
  CHECK(f.source[static_cast<std::size_t>(f.topology.rows)] == Approx(-J));
  CHECK(std::accumulate(f.source.begin(), f.source.end(), 0.0) == Approx(0));
}

TEST_CASE("strip field: side faces hinder the flow past disc edges and cost power; slopes hinder flow on flanks") {
  const ElementShape shape = kneading_example(45);
  StripModel edges = flat, slopes = flat;
  edges.disc_edges = true, slopes.slopes = true;
  const StripField plain = field(shape, flat), edged = field(shape, edges), sloped = field(shape, slopes);
  const auto total = [](const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); };
  CHECK(total(edged.along) < total(plain.along));
  CHECK(total(edged.shear) > total(plain.shear));
  CHECK(total(sloped.along) < total(plain.along));
  CHECK(total(sloped.shear) > total(plain.shear));
  for (std::size_t i = 0; i < plain.conductance.size(); ++i)
    CHECK(sloped.conductance[i] <= plain.conductance[i] * (1 + 1e-9));
}
