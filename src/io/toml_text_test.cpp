#include "io/toml_text.hpp"

#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <sys/stat.h>

#include "base/error.hpp"

using namespace quern;

namespace {

std::string refusal(const std::string& text) {
  try {
    (void)parse_toml(text, "a.toml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}
bool says(const std::string& text, const std::string& words) { return refusal(text).find(words) != std::string::npos; }
std::string repeated(const std::string& piece, int times) {
  std::string text;
  for (int i = 0; i < times; ++i) text += piece;
  return text;
}

}  // namespace

TEST_CASE("toml text: 64 levels are read, 65 are refused with their line, in every way of nesting") {
  for (const auto& [open, close] : {std::pair{"[", "]"}, std::pair{"{a=", "}"}}) {
    const std::string last = open[0] == '[' ? "" : "1";
    CHECK(refusal("\na = " + repeated(open, 64) + last + repeated(close, 64)) == "");
    CHECK(says("\na = " + repeated(open, 65) + last + repeated(close, 65), "a.toml:2: nested 65 deep"));
  }
  CHECK(refusal("a" + repeated(".a", 60) + " = 1") == "");
  CHECK(says("a" + repeated(".a", 65) + " = 1", "nested 65 deep"));
  CHECK(says("[a" + repeated(".a", 65) + "]", "nested 65 deep"));
}
TEST_CASE("toml text: brackets and dots in texts, comments and numbers are no nesting") {
  CHECK(refusal("note = \"\"\"\nit's " + repeated("[ ( ", 100) + "\n\"\"\"") == "");
  CHECK(refusal("note = '''\n" + repeated("{\" ", 100) + "\n'''") == "");
  CHECK(refusal("note = \"" + repeated("a.b ", 100) + "\"") == "");
  CHECK(refusal("a = 1 # " + repeated("[", 100)) == "");
  CHECK(refusal("a = [" + repeated("1.5, ", 100) + "1.5]") == "");
  CHECK(refusal("a = \"\\\"" + repeated("[", 100) + "\"") == "");
}
TEST_CASE("toml text: a bracket after a closed text counts again") {
  const std::string deep = repeated("[", 70) + repeated("]", 70);
  CHECK(says("a = [\"\", '', " + deep + "]", "nested 71 deep"));
  CHECK(says("a = ['''\n''', " + deep + "]", "nested 71 deep"));
  CHECK(says("a = [\"\"\"x\"\"\", " + deep + "]", "nested 71 deep"));
}
TEST_CASE("toml text: more values than any project has are refused before they cost anything") {
  CHECK(refusal("a = [" + repeated("1,", 49'000) + "]") == "");
  CHECK(says("a = [" + repeated("1,", 51'000) + "]", "too many"));
  CHECK(says(repeated("[[a]]\n", 51'000), "too many"));
  CHECK(says(std::string(5'000'001, ' '), "MB is too much"));
}
TEST_CASE("toml text: only UTF-8 passes, and the line of what is not is told") {
  CHECK(refusal("# °C, µm, 樹脂, 🜨\na = 1") == "");
  for (const char* bad :
       {"\xc0\xaf", "\xe0\x80\x80", "\xed\xa0\x80", "\xf4\x90\x80\x80", "\xf8\x88\x80\x80\x80", "\x80",
        "\xe2\x82"}) {  // overlong, surrogate, beyond the last, unknown head, no head, cut short
    CAPTURE(refusal(std::string("a = 1\n# ") + bad));
    CHECK(says(std::string("a = 1\n# ") + bad, "a.toml:2: not UTF-8 text"));
  }
  CHECK(refusal("\xEF\xBB\xBF"
                "a = 1") == "");  // a byte-order mark is let pass
}
TEST_CASE("toml text: what is not TOML is placed") {
  CHECK(says("a = 1\na = 2\n", "a.toml:2: not TOML"));
  CHECK(says("a = \"open\nb = 1\n", "a.toml:1: not TOML"));
  CHECK(says("[a\n", "not TOML"));
  CHECK(says("a = 1\x01", "not TOML"));
}
TEST_CASE("toml file: what is no file on disk is refused, a pipe without waiting for it") {
  namespace fs = std::filesystem;
  const fs::path folder = fs::temp_directory_path() / "quern-toml-text";
  fs::remove_all(folder);
  fs::create_directories(folder);
  const auto refused = [&](const fs::path& path) {
    try {
      (void)read_text_file(path.string());
    } catch (const InputError& error) {
      return error.faults().front().wrong;
    }
    return std::string();
  };
  CHECK(refused(folder / "none.toml") == "no such file");
  CHECK(refused(folder) == "a folder, not a file");
  CHECK(refused("/dev/zero") == "a pipe or a device, not a file");
  REQUIRE(mkfifo((folder / "pipe").c_str(), 0600) == 0);
  CHECK(refused(folder / "pipe") == "a pipe or a device, not a file");
  CHECK(refused(folder / std::string("a\0b", 3)) == "no such file");
  CHECK(refused(folder / std::string(5000, 'x')) == "no such file");
  std::ofstream(folder / "big.toml") << "a";
  fs::resize_file(folder / "big.toml", 50'000'000);  // holes: nothing of it is read
  CHECK(refused(folder / "big.toml") == "50.0 MB is too much for a project");
  std::ofstream(folder / "small.toml") << "a = 1";
  CHECK(read_text_file((folder / "small.toml").string()) == "a = 1");
  fs::remove_all(folder);
}
