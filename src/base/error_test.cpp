#include "base/error.hpp"

#include <doctest/doctest.h>

using namespace quern;

TEST_CASE("faults: place, field, what is wrong, and below it what would be right") {
  const std::vector<Fault> faults = {{"blend.toml", 14, "feed[0].rate", "\"6\" has no unit", "write \"6 kg/h\""},
                                     {"blend.toml", 22, "machine.zone[3].lenght", "no such field", "\"length\""}};
  CHECK(describe(faults) ==
        "blend.toml:14: feed[0].rate: \"6\" has no unit\n    write \"6 kg/h\"\n"
        "blend.toml:22: machine.zone[3].lenght: no such field\n    \"length\"");
}
TEST_CASE("faults: what is not known about the place is left out") {
  CHECK(describe({{.wrong = "nothing is fed"}}) == "nothing is fed");
  CHECK(describe({{.file = "a.toml", .wrong = "the file is empty"}}) == "a.toml: the file is empty");
  CHECK(describe({{.field = "feed", .wrong = "missing", .right = "a [[feed]]"}}) == "feed: missing\n    a [[feed]]");
  CHECK(describe({}) == "");
}
TEST_CASE("faults: an input error carries all of them, and says all in its text") {
  const InputError error({{.wrong = "one"}, {.wrong = "two"}});
  CHECK(error.faults().size() == 2);
  CHECK(std::string(error.what()) == "one\ntwo");
}
