#include "io/chart_colour.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace quern {

std::string colour_of(double share) {
  using Rgb = std::array<int, 3>;
  static constexpr std::array<Rgb, 10> anchors{{{0x00, 0x22, 0x4e},
                                                {0x12, 0x35, 0x70},
                                                {0x3b, 0x49, 0x6c},
                                                {0x57, 0x5d, 0x6d},
                                                {0x70, 0x71, 0x73},
                                                {0x8a, 0x86, 0x78},
                                                {0xa5, 0x9c, 0x74},
                                                {0xc3, 0xb3, 0x69},
                                                {0xe1, 0xcc, 0x55},
                                                {0xfe, 0xe8, 0x38}}};
  const double at = (std::isfinite(share) ? std::clamp(share, 0.0, 1.0) : 0.0) * (anchors.size() - 1);
  const std::size_t i = std::min(static_cast<std::size_t>(at), anchors.size() - 2);
  const double t = at - static_cast<double>(i);
  const auto mix = [&](std::size_t c) {
    return static_cast<int>(std::lround((1 - t) * anchors[i][c] + t * anchors[i + 1][c]));
  };
  return fmt::format("#{:02x}{:02x}{:02x}", mix(0), mix(1), mix(2));
}

}  // namespace quern
