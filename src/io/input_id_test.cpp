#include "io/input_id.hpp"

#include <doctest/doctest.h>

using namespace quern;

namespace {

std::string id(std::initializer_list<std::string_view> texts) {
  InputId all;
  for (const std::string_view text : texts) all.add(text);
  return all.str();
}

}  // namespace

TEST_CASE("input id: the same texts have the same name, one byte or another cut between them does not") {
  CHECK(id({"a", "bc"}) == id({"a", "bc"}));
  CHECK(id({"a", "bc"}) != id({"ab", "c"}));
  CHECK(id({"a"}) != id({"b"}));
  CHECK(id({}) != id({""}));
}
TEST_CASE("input id: it is a UUID of version 5") {  // RFC 9562, 5.5
  const std::string text = id({"format"});
  REQUIRE(text.size() == 36);
  CHECK(text[14] == '5');
  CHECK(std::string("89ab").find(text[19]) != std::string::npos);
}
