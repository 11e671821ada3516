#include "io/chart_colour.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <limits>

using namespace quern;

namespace {

/// Relative luminance of an sRGB colour: IEC 61966-2-1.
double luminance(const std::string& hex) {
  const auto channel = [&](std::size_t at) {
    const double v = std::stoi(hex.substr(at, 2), nullptr, 16) / 255.0;
    return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

}  // namespace

TEST_CASE("colour scale: gets lighter all the way, so it reads without colour") {
  for (int i = 0; i < 100; ++i) {
    CAPTURE(i);
    CHECK(luminance(colour_of((i + 1) / 100.0)) > luminance(colour_of(i / 100.0)));
  }
  CHECK(luminance(colour_of(1)) > 0.75);
  CHECK(luminance(colour_of(0)) < 0.02);
}

TEST_CASE("colour scale: shares outside, or none, stay at its ends") {
  CHECK(colour_of(-3) == colour_of(0));
  CHECK(colour_of(7) == colour_of(1));
  CHECK(colour_of(std::numeric_limits<double>::quiet_NaN()) == colour_of(0));
}
