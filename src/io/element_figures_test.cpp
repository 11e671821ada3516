#include "io/element_figures.hpp"

#include <doctest/doctest.h>
#include <set>

#include "io/element_figures_example.hpp"
#include "io/report_example.hpp"

using namespace quern;
using doctest::Approx;

TEST_CASE("element figures: every place of the screw is named once, and holds the element it is named with") {
  const Trial t = example_trial("melt");
  const auto all = element_figures(t, {});
  std::set<int> places;
  for (const ElementFigures& e : all)
    for (const int n : e.numbers) {
      CHECK(places.insert(n).second);
      CHECK(t.screw.elements.at(static_cast<std::size_t>(n - 1)) == e.element);
    }
  CHECK(places.size() == t.screw.elements.size());
  CHECK(all.size() < places.size());
}

TEST_CASE(
    "element figures: solved where the library has the shape, estimated where not, given where the project says") {
  Trial t = example_trial("melt");
  t.screw.elements[0].characteristics = Characteristics{0.5, 1e-4, 5000, 5000};
  for (const ElementFigures& e : element_figures(t, made_up_library(t)))
    CHECK(e.flow.basis == (e.element.characteristics ? FlowBasis::given : FlowBasis::solved));
  for (const ElementFigures& e : element_figures(t, {})) {
    CHECK(e.flow.basis == (e.element.characteristics ? FlowBasis::given : FlowBasis::estimated));
    CHECK_FALSE(power_shares(e).has_value());
  }
}

TEST_CASE("element figures: a reverse element is the forward one with A1 and P1 of the opposite sign") {
  Trial t = example_trial("melt");
  Element back = t.screw.elements[0];
  back.hand = Hand::reverse;
  t.screw.elements = {t.screw.elements[0], back};
  const auto pair = element_figures(t, made_up_library(t));
  REQUIRE(pair.size() == 2);
  CHECK(pair[1].mirrored);
  CHECK(pair[1].flow.line == as_built(pair[0].flow.line, true));
  CHECK(free_throughput(pair[1], 0.03, 2) == -free_throughput(pair[0], 0.03, 2));
  CHECK(closed_pressure(pair[1], 0.03) == -closed_pressure(pair[0], 0.03));
  CHECK(power_number(pair[1]) == Approx(power_number(pair[0])));
}

TEST_CASE("element figures: trade's figures follow from the characteristics' definitions") {
  ElementFigures e;
  e.element.length = 0.06;
  e.flow.line = {.A1 = 0.4, .B = 2e-4, .P0 = 3300, .P1 = 2000};
  CHECK(free_throughput(e, 0.03, 5) == Approx(0.4 * 5 * 2.7e-5));  // V = V* N D³
  CHECK(closed_pressure(e, 0.03) == Approx(2000 * 100 * (100.0 / 60) / 0.03 * 0.06));  // p* η N/D L
  CHECK(free_power(e, 0.03) == Approx(2500 * 100 * (100.0 / 60) * (100.0 / 60) * 9e-4 * 0.06));  // P* η N² D² L
}

TEST_CASE("element figures: shares of the power add up to one") {
  const Trial t = example_trial("melt");
  for (const ElementFigures& e : element_figures(t, made_up_library(t))) {
    const PowerShares s = *power_shares(e);
    CHECK(s.tips + s.channel + s.nip + s.faces == Approx(1));
    CHECK(s.tips == Approx(1000 / 2500.0));
  }
}

TEST_CASE("places: runs are drawn together") {
  CHECK(places_text({}).empty());
  CHECK(places_text({3}) == "3");
  CHECK(places_text({1, 2, 3, 5, 7, 8}) == "1-3, 5, 7-8");
}
