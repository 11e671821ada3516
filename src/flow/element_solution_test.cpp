#include "flow/element_solution.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <vector>

#include "flow/element_example.hpp"

using doctest::Approx;
using namespace quern;

namespace {

/// Enough to see what holds on any grid.
constexpr ElementGrids small{.coarse = 32,
                             .fine = 48,
                             .turns = 2,
                             .thinning_coarse = 32,
                             .thinning_fine = 48,
                             .thinning_turns = 1,
                             .tracking = 32,
                             .tracking_turns = 4,
                             .particles = 20};

const ElementSolution& solved(const ElementShape& shape) {
  static std::vector<ElementSolution> known;
  for (const ElementSolution& s : known)
    if (s.shape == shape) return s;
  known.reserve(16);
  known.push_back(solve_element(shape, small).solution.value());
  return known.back();
}
double drag_power(const Characteristics& c) { return c.P0 - c.P1 * c.A1; }

}  // namespace

TEST_CASE("element solution: reciprocity holds between throughput and power, endless and alone") {
  for (const ElementShape& shape : {conveying_example(1), kneading_example(45), kneading_example(90)}) {
    const ElementSolution& s = solved(shape);
    CHECK(s.balance < 1e-8);
    CHECK(s.direct == 0);
    for (const Characteristics& c : {s.line, s.block.value_or(s.line)}) {
      CHECK(c.P1 == Approx(c.A1 / c.B).epsilon(1e-12));
      CHECK(c.B > 0);
      CHECK(drag_power(c) > 0);
    }
    CHECK(s.tip_power + s.nip_power + s.face_power < drag_power(s.line));
    CHECK(s.tip_power > 0);
    CHECK(s.nip_power > 0);
  }
}

TEST_CASE("element solution: neutral discs convey exactly nothing, endless and alone") {
  const ElementSolution& s = solved(kneading_example(90));
  CHECK(s.line.A1 == 0);
  REQUIRE(s.block);
  CHECK(s.block->A1 == 0);
  CHECK(s.numerical.A1 == 0);
}

// Open ends short-circuit the channels: b 36 % larger than in the endless run at 45 degrees, 6.7 % at 90 (independent
// reference implementation of our own, flat nip).
TEST_CASE("element solution: only discs stand alone, and alone they pass more") {
  CHECK_FALSE(solved(conveying_example(1)).block);
  const ElementSolution &discs = solved(kneading_example(45)), &neutral = solved(kneading_example(90));
  CHECK(discs.block->B / discs.line.B == Approx(1.36).epsilon(0.06));
  CHECK(neutral.block->B / neutral.line.B == Approx(1.067).epsilon(0.03));
  CHECK(discs.block->A1 < discs.line.A1);
}

// Couette flow between facing discs, overlap 0.0093 D² at 45 degrees from an independent code: 25 η N² D³ per interface
// at a gap of 0.01 D.
TEST_CASE("element solution: side faces of discs take what their overlap and gap say") {
  const ElementShape shape = kneading_example(45);
  const ElementSolution& s = solved(shape);
  CHECK(s.face_power * shape.disc_width == Approx(25).epsilon(0.05));
  CHECK(solved(conveying_example(1)).face_power == 0);
}

TEST_CASE("element solution: a thinning liquid's figures begin Newtonian, and throughput falls with the index") {
  for (const ElementShape& shape : {conveying_example(1), kneading_example(45), kneading_example(90)}) {
    const auto& t = solved(shape).thinning;
    REQUIRE(t.size() >= 3);
    CHECK(t.front().index == 1);
    CHECK(t.front().throughput == 1);
    for (std::size_t i = 0; i < t.size(); ++i) {
      CHECK(t[i].rate_pressure > 1);
      CHECK(t[i].rate_consuming > 1);
      CHECK(t[i].rate_power > 1);
      if (i == 0) continue;
      CHECK(t[i].index < t[i - 1].index);
      CHECK(t[i].throughput <= t[i - 1].throughput);
    }
  }
}

TEST_CASE(
    "element solution: uncertain where three dimensions have not been seen, more so for short leads and thin discs") {
  const auto at = [](const ElementShape& shape) -> const ElementSolution& { return solved(shape); };
  CHECK(at(conveying_example(1)).in_range);
  CHECK_FALSE(at(conveying_example(0.5)).in_range);
  CHECK(at(conveying_example(0.5)).model.B > at(conveying_example(1)).model.B);
  CHECK(at(kneading_example(45)).in_range);
  const ElementSolution& thin = at(kneading_example(45, 0.05));
  CHECK_FALSE(thin.in_range);
  CHECK(thin.model.A1 > at(kneading_example(45)).model.A1);
}

TEST_CASE("element solution: one sigma joins grid, model and the ends of a block") {
  ElementSolution s{.line = {.A1 = 0.2, .B = 3e-4}, .numerical = {0.03, 0.01, 0.02}, .model = {0.04, 0.1, 0.2}};
  CHECK(uncertainty(s).A1 == Approx(0.05));
  CHECK(uncertainty(s).B == Approx(std::hypot(0.01, 0.1)));
  CHECK(uncertainty(s).power == Approx(std::hypot(0.02, 0.2)));
  s.block = {.A1 = 0.16, .B = 3.6e-4};
  CHECK(uncertainty(s).A1 == Approx(std::hypot(0.05, 0.1)));  // half of 20 %
  CHECK(uncertainty(s).B == Approx(std::sqrt(0.01 * 0.01 + 0.01 + 0.01)));
  s.line.A1 = s.block->A1 = 0;
  CHECK(uncertainty(s).A1 == Approx(0.05));
}

TEST_CASE("element solution: the same shape gives the same bits") {
  CHECK(solve_element(kneading_example(45), small).solution == solved(kneading_example(45)));
}

TEST_CASE("element solution: grids of one shape are alike, cells about square") {
  for (const ElementShape& shape : {conveying_example(0.75), conveying_example(1), conveying_example(2),
                                    kneading_example(45, 0.1), kneading_example(45, 0.2), kneading_example(45, 0.4)}) {
    const StripGrid once = grid_for(shape, 64), half = grid_for(shape, 96), twice = grid_for(shape, 128);
    CHECK(twice.across == 2 * once.across);
    CHECK(twice.nip == 2 * once.nip);
    CHECK(half.nip * 2 == 3 * once.nip);
    const bool kneading = shape.kind == ElementKind::kneading;
    const int rows = kneading ? once.rows_per_disc : once.rows;
    CHECK((kneading ? twice.rows_per_disc : twice.rows) == 2 * rows);
    CHECK((kneading ? half.rows_per_disc : half.rows) * 2 == 3 * rows);
    const double dx = shape.profile().bore_perimeter / 128, dz = (kneading ? shape.disc_width : shape.lead / 2) / rows;
    CHECK(dz / dx > 0.6);
    CHECK(dz / dx < 1.5);
  }
}

TEST_CASE("element solution: work reports rising shares up to all of it, and stops when told to") {
  std::vector<double> shares;
  Progress progress{[&](double share, std::string_view) { shares.push_back(share); }, {}};
  REQUIRE(solve_element(conveying_example(1), small, progress).solution);
  CHECK(std::ranges::is_sorted(shares));
  CHECK(shares.front() < 0.5);
  CHECK(shares.back() == 1);
  for (const int after : {0, 1, 3, 6}) {
    int asked = 0;
    progress = {{}, [&] { return asked++ >= after; }};
    const ElementOutcome outcome = solve_element(kneading_example(45), small, progress);
    CHECK_FALSE(outcome.solution);
    CHECK(outcome.stopped == "cancelled");
    CHECK(asked == after + 1);
  }
}
