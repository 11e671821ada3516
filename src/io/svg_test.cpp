#include "io/svg.hpp"

#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

TEST_CASE("XML text: markup is escaped") {
  CHECK(escape_xml("<script>\"a\" & 'b'</script>") == "&lt;script&gt;&quot;a&quot; &amp; &#39;b&#39;&lt;/script&gt;");
}

TEST_CASE("XML text: letters of any language stay, what is no character becomes a question mark") {
  CHECK(escape_xml("Ø 30 µm, 東京, 😀") == "Ø 30 µm, 東京, 😀");
  CHECK(escape_xml(std::string_view("a\0b\x01\x7f", 5)) == "a?b??");
  CHECK(escape_xml("\xff|\xc3|\xe2\x82|\xed\xa0\x80|\xc0\xaf") ==
        "?|?|??|???|??");  // no lead, cut short, surrogate, overlong
}

TEST_CASE("fit: a text that is too long ends in an ellipsis, never inside a letter") {
  CHECK(fit("metering", 100, 10) == "metering");
  CHECK(fit("a very long zone name", 55, 10) == "a very lo…");
  CHECK(fit("ééééééééééé", 27.5, 10) == "éééé…");
  CHECK(fit("word", 5, 10).empty());
}

TEST_CASE("ticks: steps of 1, 2 or 5, inside the range") {
  CHECK(ticks(0, 10, 5) == std::vector<double>{0, 2, 4, 6, 8, 10});
  CHECK(ticks(-8, 301, 4) == std::vector<double>{0, 100, 200, 300});
  CHECK(ticks(0, 0.021, 3) == std::vector<double>{0, 0.01, 0.02});
  CHECK(ticks(1, 1, 4).empty());
}

TEST_CASE("path: relative steps add up to where the dots are, within a tenth") {
  std::vector<Dot> dots;
  for (int i = 0; i < 500; ++i) dots.push_back({i * 1.037, 40 + 13.31 * ((i * 7919) % 101) / 101.0});
  std::string d = path_of(dots, false);
  double x = 0, y = 0;
  const char* at = d.c_str();
  while (*at != '\0') {  // letter, number, number
    CHECK((*at == 'M' || *at == 'l'));
    char* end = nullptr;
    x += std::strtod(at + 1, &end);
    y += std::strtod(end, &end);
    at = end;
  }
  CHECK(x == Approx(dots.back().x).epsilon(0.0002));
  CHECK(y == Approx(dots.back().y).epsilon(0.002));
}

TEST_CASE("scale: ends go to ends") {
  const Scale s{10, 20, 100, 0};
  CHECK(s(10) == 100);
  CHECK(s(20) == 0);
  CHECK(s(15) == 50);
}
