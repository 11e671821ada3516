#include "io/structure_picture.hpp"

#include <doctest/doctest.h>
#include <limits>

using namespace quern;

namespace {

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = 0; (at = text.find(part, at)) != std::string::npos; at += part.size()) ++n;
  return n;
}

Structure two_stations() {
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  Structure s;
  s.position = {0.1, 0.2};
  StructureModel m{.name = "particle_size", .title = "Size <of> particles"};
  m.figures.push_back(
      {.name = "median_size", .title = "median", .unit = "mm", .one = 1e-3, .logarithmic = true, .inlet = 4e-3});
  m.figures.front().along = {1e-3, nan};
  s.models.push_back(m);
  return s;
}

}  // namespace

TEST_CASE("structure picture: a track ends where its figure does, and texts are escaped") {
  Trial trial;
  trial.machine.shaft_length = 0.2;
  const std::string svg = structure_tracks(trial, two_stations());
  CHECK(count(svg, "nan") == 0);
  CHECK(count(svg, "Size &lt;of&gt; particles") == 1);
  CHECK(structure_tracks(trial, Structure{}).empty());
}
TEST_CASE("structure picture: every cell that holds stock is drawn, no other") {
  Structure s;
  s.cloud = {.time_edges = {1, 10, 100}, .energy_edges = {1e3, 1e4, 1e5}, .share = {0.5, 0, 0, 0.5}};
  s.treatment.time = {.mean = 30, .p5 = 5, .p50 = 30, .p95 = 50};
  s.treatment.energy = {.mean = 3e4, .p5 = 5e3, .p50 = 3e4, .p95 = 5e4};
  CHECK(count(treatment_chart(s), "class=\"cell\"") == 2);
}
