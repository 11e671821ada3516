#include "base/pack.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <random>

using namespace quern;

TEST_CASE("pack: exponential and logarithm equal the C library's to 1e-14 over their range") {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> exponent(-690, 690);
  for (int i = 0; i < 20000; ++i) {
    const double x = exponent(random), y = std::exp(x);
    CAPTURE(x);
    CHECK(std::fabs(vexp(x) / y - 1) < 1e-14);
    CHECK(std::fabs(vlog(y) - x) < 1e-14 * std::max(1.0, std::fabs(x)));
  }
}
TEST_CASE("pack: beyond its range the exponential stays finite") {
  CHECK(std::isfinite(vexp(1e9)));
  CHECK(vexp(-1e9) >= 0);
}
TEST_CASE("pack: eight lanes give the bits of one") {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> number(-50, 50);
  for (int k = 0; k < 2000; ++k) {
    Pack<8> x{};
    for (int i = 0; i < 8; ++i) x[i] = number(random);
    const Pack<8> e = vexp(x), s = softplus(x), l = vlog(Pack<8>(e + 1e-3));
    for (int i = 0; i < 8; ++i) {
      CHECK(e[i] == doctest::Approx(vexp(x[i])).epsilon(1e-15));
      CHECK(s[i] == doctest::Approx(softplus(x[i])).epsilon(1e-15));
      CHECK(l[i] == doctest::Approx(std::log(e[i] + 1e-3)).epsilon(1e-14));
    }
  }
}
TEST_CASE("pack: softplus is ln(1 + e^u), 0 far below and u far above") {
  CHECK(softplus(0.0) == doctest::Approx(std::log(2.0)).epsilon(1e-15));
  CHECK(softplus(-800.0) == doctest::Approx(0.0));
  CHECK(softplus(800.0) == doctest::Approx(800.0));
}
