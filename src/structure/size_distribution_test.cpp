#include "structure/size_distribution.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {
// D50 100 um by volume, geometric standard deviation 2: closed forms of ISO 9276-5, Hatch & Choate (1929).
const LogNormal powder{100e-6, std::log(2.0), Weighting::volume};
}  // namespace

TEST_CASE("size classes: every particle has twice the volume of one of the class below; 1 mm ends a class") {
  CHECK(upper_size(30) == Approx(1e-3).epsilon(1e-14));
  CHECK(upper_size(0) == Approx(1e-3 / 1024).epsilon(1e-13));
  for (int i = 0; i < size_classes; ++i) {
    CAPTURE(i);
    CHECK(std::pow(upper_size(i) / lower_size(i), 3) == Approx(2).epsilon(1e-12));
    CHECK(middle_size(i) * middle_size(i) == Approx(upper_size(i) * lower_size(i)).epsilon(1e-12));
  }
}
TEST_CASE("log-normal: D[4,3] 127.154, D[3,2] 78.645, number median 23.661 um at D50 100 um, factor 2 (ISO 9276-5)") {
  CHECK(moment(powder, 1, Weighting::volume) * 1e6 == Approx(127.154).epsilon(5e-6));
  CHECK(moment(powder, 1, Weighting::area) * 1e6 == Approx(78.645).epsilon(7e-6));
  CHECK(counted_by(Weighting::number, powder).median * 1e6 == Approx(23.661).epsilon(3e-5));
}
TEST_CASE("log-normal: counted by number and back it is the same") {
  const LogNormal back = counted_by(Weighting::volume, counted_by(Weighting::number, powder));
  CHECK(back.median == Approx(powder.median).epsilon(1e-14));
  CHECK(total(log_normal(counted_by(Weighting::number, powder))) == Approx(1).epsilon(1e-14));
  CHECK(passing(log_normal(counted_by(Weighting::number, powder)), 100e-6) == Approx(0.5).epsilon(1e-4));
}
TEST_CASE("log-normal by class: D10 41.135, D90 243.100 um, span 2.0196 within half a percent (ISO 9276-5)") {
  const PerSize mass = log_normal(powder);
  CHECK(quantile(mass, 0.1) * 1e6 == Approx(41.135).epsilon(5e-3));
  CHECK(quantile(mass, 0.5) * 1e6 == Approx(100).epsilon(1e-3));
  CHECK(quantile(mass, 0.9) * 1e6 == Approx(243.100).epsilon(5e-3));
  CHECK(summary(mass).value().span == Approx(2.0196).epsilon(5e-3));
}
TEST_CASE("log-normal by class: volume, Sauter and geometric mean within half a percent of the closed forms") {
  const PerSize mass = log_normal(powder);
  CHECK(summary(mass).value().volume_mean * 1e6 == Approx(127.154).epsilon(5e-3));
  CHECK(summary(mass).value().sauter * 1e6 == Approx(78.645).epsilon(5e-3));
  CHECK(mean_size(mass, 0, Weighting::volume) * 1e6 == Approx(100).epsilon(5e-3));  // geometric mean is the median
}
TEST_CASE("moments: 1/M_{-1,3} = M_{1,2} and M_{3,0}/M_{2,0} = M_{1,2}: three ways to the Sauter mean (ISO 9276-2)") {
  const PerSize mass = rosin_rammler(100e-6, 1.1);
  const double sauter = mean_size(mass, 1, Weighting::area);
  CHECK(1 / moment(mass, -1, Weighting::volume) == Approx(sauter).epsilon(1e-12));
  CHECK(moment(mass, 3, Weighting::number) / moment(mass, 2, Weighting::number) == Approx(sauter).epsilon(1e-12));
}
TEST_CASE("Rosin-Rammler: d' 100 um, n 2 has d10 32.459, d50 83.255, d90 151.743 um") {  // closed form
  const PerSize mass = rosin_rammler(100e-6, 2);
  CHECK(quantile(mass, 0.1) * 1e6 == Approx(32.459).epsilon(5e-3));
  CHECK(quantile(mass, 0.5) * 1e6 == Approx(83.255).epsilon(5e-3));
  CHECK(quantile(mass, 0.9) * 1e6 == Approx(151.743).epsilon(5e-3));
}
TEST_CASE("passing and quantile are inverse, and passing never falls") {
  const PerSize mass = rosin_rammler(300e-6, 0.8);
  for (const double p : {0.03, 0.1, 0.37, 0.5, 0.9, 0.99}) {
    CAPTURE(p);
    CHECK(passing(mass, quantile(mass, p)) == Approx(p).epsilon(1e-9));
  }
  double before = 0;
  for (double x = 0.5e-6; x < 12e-3; x *= 1.03) {
    CHECK(passing(mass, x) >= before);
    before = passing(mass, x);
  }
}
TEST_CASE("single size: all mass in the class that holds it; beyond the classes in the outermost") {
  for (const double size : {3e-3, 1e-3, 5e-6}) {
    CAPTURE(size);
    const PerSize mass = single_size(size);
    CHECK(total(mass) == 1);
    CHECK(quantile(mass, 0.5) == Approx(size).epsilon(0.13));
    CHECK(passing(mass, size * 1.27) == 1);
    CHECK(passing(mass, size / 1.27) == 0);
  }
  CHECK(single_size(1.0)[size_classes - 1] == 1);
  CHECK(single_size(1e-9)[0] == 1);
}
TEST_CASE("without particles there is nothing to report") {
  CHECK_FALSE(summary(PerSize{}).has_value());
  CHECK(quantile(PerSize{}, 0.5) == 0);
}
