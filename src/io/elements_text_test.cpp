#include "io/elements_text.hpp"

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "io/element_figures_example.hpp"
#include "io/elements_json.hpp"
#include "io/report_example.hpp"

using namespace quern;
using doctest::Approx;

namespace {
bool has(const std::string& text, std::string_view words) { return text.find(words) != std::string::npos; }
}  // namespace

TEST_CASE("elements in words: the list names every place and element, the letters of one are explained") {
  const Trial t = example_trial("melt");
  const auto all = element_figures(t, made_up_library(t));
  const std::string list = elements_text(t, all);
  for (const ElementFigures& e : all) {
    CHECK(has(list, places_text(e.numbers) + ": " + describe(e.element)));
    const std::string one = element_text(t, e);
    for (const char* words : {"V* = V/(N D3)", "characteristics = { A1 = ", "driven through", "solved", "one sigma"})
      CHECK_MESSAGE(has(one, words), words);
    CHECK(has(one, "open ends change") == e.solution->block.has_value());
  }
}

TEST_CASE("elements in words: turns become seconds at the trial's speed, diameters millimetres of its machine") {
  Trial t = example_trial("melt");
  t.screw_speed = 200.0 / 60;
  const std::string text = element_text(t, element_figures(t, made_up_library(t)).front());
  CHECK(has(text, "over 30.0 mm: mean 0.900 s"));      // 3 turns
  CHECK(has(text, "one stirred tank per 9.0 mm"));     // 0.3 D
  CHECK(has(text, "mean 133 /s at 200 rpm"));          // 40 per turn
}

TEST_CASE("elements in words: no line is wider than a hundred columns") {
  const Trial t = example_trial("combined");
  const auto all = element_figures(t, made_up_library(t));
  std::string text = elements_text(t, all) + "\n";
  for (const ElementFigures& e : all) text += element_text(t, e) + "\n";
  for (std::size_t at = 0, end = 0; (end = text.find('\n', at)) != std::string::npos; at = end + 1)
    CHECK_MESSAGE(end - at <= 106, text.substr(at, end - at));
}

TEST_CASE("elements as JSON: figures come back as they were, and places and names with them") {
  const Trial t = example_trial("melt");
  const auto all = element_figures(t, made_up_library(t));
  const auto json = nlohmann::json::parse(elements_json(t, all));
  CHECK(json.at("format") == "quern-elements/1");
  CHECK(json.at("status") == "solved");
  CHECK(json.at("screw_speed") == t.screw_speed);
  REQUIRE(json.at("elements").size() == all.size());
  for (std::size_t i = 0; i < all.size(); ++i) {
    const auto& e = json.at("elements").at(i);
    CHECK(e.at("numbers") == all[i].numbers);
    CHECK(e.at("description") == describe(all[i].element));
    CHECK(e.at("characteristics").at("A1") == all[i].flow.line.A1);
    CHECK(e.at("characteristics").at("P1") == all[i].flow.line.P1);
    CHECK(e.at("solution").at("thinning").size() == 2);
    CHECK(e.at("solution").at("tracked").at("over_tip") == 0.6);
    CHECK(e.at("solution").at("block").is_null() == !all[i].solution->block.has_value());
  }
}

TEST_CASE("elements as JSON: an element without a solution has null in its place; hostile bytes do no harm") {
  Trial t = example_trial("melt");
  t.title = "\xff\"}]\x01<script>";
  const auto json = nlohmann::json::parse(elements_json(t, element_figures(t, {})));
  for (const auto& e : json.at("elements")) {
    CHECK(e.at("solution").is_null());
    CHECK(e.at("basis") == "estimated");
  }
  const auto stopped = nlohmann::json::parse(elements_stopped_json(t, {Stop::Kind::not_converged, "a", "b", "\xfe"}));
  CHECK(stopped.at("status") == "not_converged");
  CHECK_FALSE(stopped.contains("elements"));
}
