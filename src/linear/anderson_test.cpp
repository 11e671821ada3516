#include "linear/anderson.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <functional>
#include <limits>

using namespace quern;

namespace {

using State = std::vector<float>;

/// g(x) = c + a x, component by component; the fixed point is 1 everywhere.
State affine(const State& x, const std::function<float(std::size_t)>& slope) {
  State g(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) g[i] = 1 + slope(i) * (x[i] - 1);
  return g;
}

float error(const State& x) {
  float most = 0;
  for (const float v : x)
    if (!(std::abs(v - 1) <= most)) most = std::abs(v - 1);  // what is no number stays
  return most;
}

float error_after(int passes, std::size_t size, std::size_t depth, const std::function<float(std::size_t)>& slope) {
  AndersonMixing mixing(size, depth);
  State x(size);
  for (std::size_t i = 0; i < size; ++i) x[i] = static_cast<float>(std::sin(1.0 + 7.0 * static_cast<double>(i)));
  for (int k = 0; k < passes; ++k) mixing.mix(x, affine(x, slope));
  return error(x);
}

}  // namespace

TEST_CASE("Anderson: a linear map of m distinct factors is solved by m changes, whatever the size of the state") {
  const std::vector<float> factors{0.9F, -0.5F, 0.3F, 0.7F};
  for (const std::size_t size : {std::size_t{5}, std::size_t{512}, std::size_t{1003}})
    for (std::size_t m = 1; m <= 4; ++m) {
      CAPTURE(size);
      CAPTURE(m);
      const auto slope = [&](std::size_t i) { return factors[i % m]; };
      CHECK(error_after(static_cast<int>(m) + 1, size, m, slope) < 2e-4F);
      CHECK(error_after(static_cast<int>(m) + 1, size, 0, slope) > 0.005F);
    }
}
TEST_CASE("Anderson: a map that drives itself apart is tamed") {
  const auto slope = [](std::size_t i) { return i % 2 ? -2.0F : 0.5F; };
  CHECK(error_after(12, 100, 0, slope) > 100);
  CHECK(error_after(12, 100, 3, slope) < 1e-5F);
}
TEST_CASE("Anderson: depth 0 passes g on") {
  AndersonMixing mixing(3, 0);
  State x{1, 2, 3};
  const State g{4, 5, 6};
  for (int k = 0; k < 3; ++k) {
    mixing.mix(x, g);
    CHECK(x == g);
  }
}
TEST_CASE("Anderson: changes that depend on each other, or none at all, do no harm") {
  CHECK(error_after(20, 64, 4, [](std::size_t) { return 0.8F; }) < 1e-6F);  // every change along one line
  AndersonMixing mixing(7, 4);
  State x(7, 1);
  for (int k = 0; k < 10; ++k) {
    mixing.mix(x, State(7, 1));
    CHECK(error(x) == 0);
  }
}
TEST_CASE("Anderson: the same change again, there and back, is still the secant's answer") {
  AndersonMixing mixing(16, 3);
  const auto slope = [](std::size_t) { return 0.75F; };
  State x(16, 2);
  mixing.mix(x, affine(x, slope));
  for (const float from : {3.0F, 2.0F, 3.0F, 2.0F}) {
    x = State(16, from);
    mixing.mix(x, affine(x, slope));
    CHECK(error(x) < 1e-6F);
  }
}
TEST_CASE("Anderson: what is not finite is passed on and forgotten") {
  AndersonMixing mixing(9, 2);
  const auto slope = [](std::size_t i) { return i % 2 ? 0.9F : 0.2F; };
  State x(9, 5);
  for (int k = 0; k < 3; ++k) mixing.mix(x, affine(x, slope));
  State g = affine(x, slope);
  g[4] = std::numeric_limits<float>::quiet_NaN();
  mixing.mix(x, g);
  CHECK(std::isnan(x[4]));
  CHECK(x[3] == g[3]);
  x = State(9, 5);
  for (int k = 0; k < 4; ++k) mixing.mix(x, affine(x, slope));
  CHECK(error(x) < 1e-4F);
}
TEST_CASE("Anderson: forgotten is as good as new") {
  const auto slope = [](std::size_t i) { return i % 3 ? 0.9F : -0.4F; };
  AndersonMixing used(20, 4), fresh(20, 4);
  State x(20, 3);
  for (int k = 0; k < 3; ++k) used.mix(x, affine(x, [](std::size_t) { return 0.6F; }));
  used.forget();
  State a(20, 2), b(20, 2);
  for (int k = 0; k < 4; ++k) {
    used.mix(a, affine(a, slope));
    fresh.mix(b, affine(b, slope));
    CHECK(a == b);
  }
}
TEST_CASE("Anderson: an empty state is nothing to do") {
  AndersonMixing mixing(0, 3);
  State x;
  mixing.mix(x, x);
  mixing.mix(x, x);
  CHECK(x.empty());
}
