#include "io/contour.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

template <class F>
GridValues sampled(int n, const F& f) {
  GridValues g;
  for (int i = 0; i <= n; ++i) g.x.push_back(2.0 * i / n - 1), g.y.push_back(2.0 * i / n - 1);
  for (const double y : g.y)
    for (const double x : g.x) g.value.push_back(f(x, y));
  return g;
}

/// Signed, anticlockwise positive.
double area(const std::vector<Dot>& outline) {
  double sum = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Dot a = outline[i], b = outline[(i + 1) % outline.size()];
    sum += (a.x * b.y - b.x * a.y) / 2;
  }
  return sum;
}

double area(const std::vector<std::vector<Dot>>& outlines) {
  double sum = 0;
  for (const auto& outline : outlines) sum += area(outline);
  return sum;
}

}  // namespace

TEST_CASE("contours: a plane is cut exactly, greater values to the left") {
  const auto lines = contour_lines(sampled(7, [](double x, double y) { return x + 0.5 * y; }), 0.1);
  REQUIRE(lines.size() == 1);
  for (const Dot dot : lines[0]) CHECK(dot.x + 0.5 * dot.y == Approx(0.1));
  const Dot from = lines[0].front(), to = lines[0].back();
  CHECK(std::abs(from.y) == Approx(1));
  CHECK(to.y < from.y);  // downwards: left is where x is greater
}

TEST_CASE("contours: a circle's outline closes and its area converges with the second order") {
  const auto error = [](int n) {
    const auto outlines = outlines_above(sampled(n, [](double x, double y) { return 1 - std::hypot(x, y); }), 0.3);
    CHECK(outlines.size() == 1);
    CHECK(outlines[0].front().x == outlines[0].back().x);
    return std::abs(area(outlines) - M_PI * 0.49);
  };
  CHECK(error(40) < 0.02);
  CHECK(error(20) / error(80) > 8);  // 16 in the limit
}

TEST_CASE("contours: what reaches the border is closed along it, and a hole turns the other way") {
  const GridValues ramp = sampled(10, [](double x, double) { return x; });
  CHECK(area(outlines_above(ramp, 0.25)) == Approx(0.75 * 2));
  CHECK(area(outlines_above(ramp, -5)) == Approx(4));
  CHECK(outlines_above(ramp, 5).empty());
  const auto ring = outlines_above(sampled(40, [](double x, double y) { return std::hypot(x, y); }), 0.5);
  CHECK(ring.size() == 2);
  CHECK(area(ring) == Approx(4 - M_PI * 0.25).epsilon(0.01));
}

TEST_CASE("contours: areas above a saddle and above its negative fill the grid") {
  const auto f = [](double x, double y) { return x * y + 0.03 * std::sin(17 * x) * std::cos(23 * y); };
  const double above = area(outlines_above(sampled(9, f), 1e-9));
  const double below = area(outlines_above(sampled(9, [&](double x, double y) { return -f(x, y); }), -1e-9));
  CHECK(above + below == Approx(4));
}

TEST_CASE("contours: a jump is drawn where it is") {
  const GridValues step{{0, 1, 1, 2}, {0, 1}, {0, 0, 1, 1, 0, 0, 1, 1}};
  const auto lines = contour_lines(step, 0.5);
  REQUIRE(lines.size() == 1);
  for (const Dot dot : lines[0]) CHECK(dot.x == 1);
  CHECK(area(outlines_above(step, 0.5)) == Approx(1));
}

TEST_CASE("simplified: straight runs lose their dots, corners stay, nothing moves farther than allowed") {
  CHECK(simplified({{0, 0}, {1, 0.01}, {2, 0}, {2, 1}, {2, 2}}, 0.1).size() == 3);
  std::vector<Dot> arc;
  for (int i = 0; i <= 200; ++i) arc.push_back({std::cos(i * 0.01), std::sin(i * 0.01)});
  const auto few = simplified(arc, 0.01);
  CHECK(few.size() < 12);
  for (std::size_t i = 1; i < few.size(); ++i)
    CHECK(std::hypot(few[i].x + few[i - 1].x, few[i].y + few[i - 1].y) / 2 > 0.99 - 1e-9);
}
