#include "base/quote.hpp"

#include <doctest/doctest.h>

using namespace quern;

TEST_CASE("quote: ordinary text, letters beyond ASCII among it, stays as typed") {
  CHECK(quote("4.5 kg/h") == "\"4.5 kg/h\"");
  CHECK(quote("200 °C, 12 µm") == "\"200 °C, 12 µm\"");
  CHECK(quote("") == "\"\"");
}
TEST_CASE("quote: a long text is cut between letters, never within one") {
  std::string text;
  for (int i = 0; i < 100; ++i) text += "é";  // two bytes each
  std::string sixty;
  for (int i = 0; i < 60; ++i) sixty += "é";
  CHECK(shown(text) == sixty + "...");
  CHECK(shown("abcdef", 6) == "abcdef");
  CHECK(shown("abcdefg", 6) == "abcdef...");
}
TEST_CASE("quote: what a terminal would act upon is written as its code") {
  CHECK(shown("\x1b[31m") == "\\u001b[31m");
  CHECK(shown("a\nb\x7f") == "a\\u000ab\\u007f");
  CHECK(shown("\xc2\x9b") == "\\u009b");          // a control character of the second set
  CHECK(shown("\xe2\x80\xae") == "\\u202e");      // turns the writing direction
  CHECK(shown(std::string(1, '\0')) == "\\u0000");
}
TEST_CASE("quote: bytes that are not UTF-8 are written as codes, and a letter cut short does not read on") {
  CHECK(shown("\xff") == "\\xff");
  CHECK(shown("\xc3\x28") == "\\xc3(");
  CHECK(shown("\xe2\x82") == "\\xe2\\x82");
}
