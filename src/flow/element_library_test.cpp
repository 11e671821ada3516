#include "flow/element_library.hpp"

#include <doctest/doctest.h>

#include "flow/element_example.hpp"

using namespace quern;

TEST_CASE("element library: what was put in is found by its shape, and nothing else is") {
  ElementLibrary library;
  CHECK(library.find(conveying_example(1)) == nullptr);
  library.insert({.shape = conveying_example(1), .line = {.A1 = 0.3}});
  library.insert({.shape = kneading_example(45), .line = {.A1 = 0.2}});
  REQUIRE(library.find(conveying_example(1)) != nullptr);
  CHECK(library.find(conveying_example(1))->line.A1 == 0.3);
  CHECK(library.find(kneading_example(45))->line.A1 == 0.2);
  CHECK(library.find(conveying_example(1.000001)) == nullptr);
  ElementShape worn = conveying_example(1);
  worn.wear = 1e-6;
  CHECK(library.find(worn) == nullptr);
}

TEST_CASE("element library: a shape is there once, as it came last") {
  ElementLibrary library;
  library.insert({.shape = conveying_example(1), .line = {.A1 = 0.3}});
  library.insert({.shape = conveying_example(1), .line = {.A1 = 0.4}});
  CHECK(library.all().size() == 1);
  CHECK(library.find(conveying_example(1))->line.A1 == 0.4);
}
