#include "io/element_map.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

const ElementShape screw{.starts = 2, .bore = 1.01, .centre = 0.82, .screw_gap = 0.008, .lead = 1.2};
const ElementShape block{.kind = ElementKind::kneading,
                         .starts = 2,
                         .bore = 1.01,
                         .centre = 0.82,
                         .screw_gap = 0.008,
                         .lead = 0,
                         .discs = 4,
                         .disc_width = 0.2,
                         .stagger = M_PI / 4};

std::size_t columns(const GridValues& g) { return g.x.size(); }
std::size_t rows(const GridValues& g) { return g.y.size(); }

/// Axial flow through the three strips at one face, from what ψ falls by.
double axial_flow_at(const ElementMap& map, std::size_t face) {
  double sum = 0;
  for (const StripMap* m : {&map.bore_1, &map.bore_2, &map.nip})
    sum -= m->stream.at(columns(m->stream) - 1, face) - m->stream.at(0, face);
  return sum;
}

}  // namespace

TEST_CASE("element map: stream functions of the strips add up to the throughput, but for the cells at the cusps") {
  for (const ElementShape& shape : {screw, block}) {
    const auto missing = [&](int across) {
      const ElementMap map = element_map(shape, false, 300, across);
      const std::size_t faces = rows(map.nip.stream);
      double sum = 0;
      for (std::size_t k = 0; k < faces; ++k) sum += axial_flow_at(map, k);
      return std::abs(sum / static_cast<double>(faces) / map.throughput - 1);
    };
    CHECK(missing(32) < 0.1);
    CHECK(missing(128) < 0.5 * missing(32));  // the cells left out get narrower
  }
}

TEST_CASE("element map: a pressure gradient takes B times itself from the throughput, whatever its size") {
  const auto throughput = [](double gradient) { return element_map(screw, false, gradient, 64).throughput; };
  const double A1 = throughput(0), B = (A1 - throughput(100)) / 100;
  CHECK(A1 > 0);
  CHECK(B > 0);
  CHECK(throughput(-700) == Approx(A1 + 700 * B).epsilon(1e-6));
}

TEST_CASE("element map: from end to end the pressure rises by the mean gradient, everywhere in an endless run") {
  const ElementMap map = element_map(screw, false, 500, 64);
  for (const StripMap* m : {&map.bore_1, &map.bore_2, &map.nip})
    for (std::size_t i = 0; i < columns(m->pressure); ++i)
      CHECK(m->pressure.at(i, rows(m->pressure) - 1) - m->pressure.at(i, 0) == Approx(500 * map.length));
}

TEST_CASE("element map: the second screw does what the first does half a pitch on") {
  const ElementMap map = element_map(screw, false, 500, 64);
  const GridValues &one = map.bore_1.pressure, &two = map.bore_2.pressure;
  const double period = screw.lead / screw.starts;
  std::size_t half = 0;
  while (one.y[half] < period / 2 - 1e-9) ++half;
  REQUIRE(one.y[half] == Approx(period / 2));
  const double shift = two.at(0, 0) - one.at(0, half);
  for (std::size_t i = 0; i < columns(one); i += 7)
    for (std::size_t k = 0; k + half < rows(one); k += 3)
      CHECK(two.at(i, k) - one.at(i, k + half) == Approx(shift).epsilon(1e-5));
  CHECK(map.bore_1.gap.at(9, half) == Approx(map.bore_2.gap.at(9, 0)));
}

TEST_CASE("element map: between a block's ends the planes have even pressure, and discs have the gaps of their turn") {
  const ElementMap map = element_map(block, false, 200, 64);
  CHECK(map.length == Approx(0.8));
  const GridValues &p = map.bore_1.pressure, &gap = map.bore_1.gap;
  for (std::size_t i = 0; i < columns(p); ++i) {
    CHECK(p.at(i, 0) == 0);
    CHECK(p.at(i, rows(p) - 1) == Approx(200 * 0.8));
  }
  CHECK(rows(gap) == 8);  // two lines for each disc
  CHECK(gap.y[1] == gap.y[2]);
}

TEST_CASE(
    "element map: a reverse element is the mirror image: gaps and paths turned end for end, throughput backwards") {
  for (const ElementShape& shape : {screw, block}) {
    const ElementMap ahead = element_map(shape, false, 300, 64), back = element_map(shape, true, 300, 64);
    CHECK(back.throughput == -ahead.throughput);
    const GridValues &a = ahead.bore_2.pressure, &b = back.bore_2.pressure;
    for (std::size_t k = 0; k < rows(a); ++k) {
      CHECK(b.y[rows(a) - 1 - k] == Approx(ahead.length - a.y[k]));
      CHECK(b.at(11, rows(a) - 1 - k) == Approx(a.at(11, k) - 300 * ahead.length));
    }
    CHECK(axial_flow_at(back, 5) == Approx(-axial_flow_at(ahead, rows(ahead.nip.stream) - 1 - 5)));
  }
}
