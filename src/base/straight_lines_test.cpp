#include "base/straight_lines.hpp"

#include <doctest/doctest.h>
#include <vector>

using namespace quern;
using doctest::Approx;

TEST_CASE("straight lines: through every point, halfway between two, and on beyond both ends") {
  const std::vector<std::pair<double, double>> points{{-1, 4}, {1, 2}, {2, 8}};
  for (const auto& [x, y] : points) CHECK(straight_lines(points, x) == Approx(y).epsilon(1e-15));
  CHECK(straight_lines(points, 0) == Approx(3));
  CHECK(straight_lines(points, 1.5) == Approx(5));
  CHECK(straight_lines(points, -3) == Approx(6));
  CHECK(straight_lines(points, 4) == Approx(20));
}

TEST_CASE("straight lines: one point holds everywhere") {
  const std::vector<std::pair<double, double>> point{{3, 7}};
  CHECK(straight_lines(point, -10) == 7);
  CHECK(straight_lines(point, 10) == 7);
}

TEST_CASE("straight lines: a value on a border belongs to the interval before it, outside to the nearest") {
  const std::vector<double> table{0, 1, 2, 3};
  const auto end_of = [&](double x) { return interval_end(table, x, [](double row) { return row; }); };
  CHECK(end_of(-5) == 1);
  CHECK(end_of(1) == 1);
  CHECK(end_of(1.5) == 2);
  CHECK(end_of(3) == 3);
  CHECK(end_of(50) == 3);
}
