#include "jobs/element.hpp"

#include <doctest/doctest.h>
#include <filesystem>

using namespace quern;

namespace {

const std::string melt = QUERN_SOURCE_DIR "/examples/melt.toml";

/// Nothing is solved: the request is refused, or cancelled, before.
ElementAnswer shown(const ElementRequest& request) {
  const Progress never{{}, [] { return true; }};
  return show_elements(request, ElementStore(""), never);
}

}  // namespace

TEST_CASE("one element: a number that the screw has not is refused with how many it has") {
  for (const int number : {0, -3, 28, 2147483647}) {
    CAPTURE(number);
    CHECK_THROWS_WITH_AS(shown({.project = melt, .number = number}), doctest::Contains("the screw has 27"), InputError);
  }
}

TEST_CASE("one element: a picture needs a number, and may not take the project's place") {
  CHECK_THROWS_WITH_AS(shown({.project = melt, .svg = "x.svg"}), doctest::Contains("--svg"), InputError);
  CHECK_THROWS_WITH_AS(shown({.project = melt, .number = 1, .svg = melt}),
                       doctest::Contains("would overwrite the project"), InputError);
  CHECK_THROWS_AS(shown({.project = "/nowhere.toml"}), InputError);
  CHECK_FALSE(std::filesystem::exists("x.svg"));
}
