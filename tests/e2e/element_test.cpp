#include <nlohmann/json.hpp>

#include "program.hpp"

// What the commands about elements do.
namespace {

using namespace program;

struct Folder : ProgramFolder {
  Folder()
      : ProgramFolder(
            {Copy{"melt.toml", "melt.toml"}, Copy{"combined.toml", "combined.toml"}, Copy{"solid.toml", "solid.toml"}},
            true) {
    fs::create_directory(path / "elements");
  }
};

}  // namespace

TEST_CASE("quern element: text, JSON and picture of one element agree, and its characteristics can be pasted") {
  const Folder folder;
  const Ended text = folder.quern("element melt.toml --number 8 --svg kneading.svg");
  CAPTURE(text.err);
  REQUIRE(text.code == 0);
  CHECK(text.err.empty());
  CHECK(has(text.out, "kneading, 5 discs, 45 deg forward, 30 mm"));
  CHECK(has(content_of(folder.path / "kneading.svg"), "Streamlines"));
  const Ended json = folder.quern("element melt.toml --number 8 --json");
  REQUIRE(json.code == 0);
  const auto element = nlohmann::json::parse(json.out).at("elements").at(0);
  CHECK(element.at("numbers") == std::vector<int>{8, 9, 14});
  CHECK(element.at("basis") == "solved");
  const double A1 = element.at("characteristics").at("A1");
  CHECK(A1 > 0);

  const auto from = text.out.find("characteristics = "), end = text.out.find('\n', from);
  std::string project = content_of(folder.path / "melt.toml");
  const std::string anchor = "stagger = \"45 deg\"\n";
  project.insert(project.find(anchor) + anchor.size(), text.out.substr(from, end - from) + "\n");
  std::ofstream(folder.path / "given.toml") << project;
  const Ended given = folder.quern("element given.toml --number 8 --json");
  CAPTURE(given.err);
  REQUIRE(given.code == 0);
  const auto pasted = nlohmann::json::parse(given.out).at("elements").at(0);
  CHECK(pasted.at("basis") == "given");
  CHECK(pasted.at("characteristics").at("A1").get<double>() == doctest::Approx(A1).epsilon(1e-5));
}

TEST_CASE(
    "quern element: wrong numbers, pictures of nothing and outputs in the way are refused, and nothing is written") {
  const Folder folder;
  CHECK(has(folder.quern("element melt.toml --number 28").err, "the screw has 27"));
  CHECK(folder.quern("element melt.toml --number 28 --svg a.svg").code == 1);
  CHECK(folder.quern("element melt.toml --number 1 --svg melt.toml").code == 1);
  CHECK(folder.quern("element melt.toml --number one").code == 64);
  CHECK(folder.quern("element melt.toml --svg a.svg").code == 64);
  CHECK_FALSE(fs::exists(folder.path / "a.svg"));
}

TEST_CASE("quern elements: asks for projects and a folder, or a folder to verify, and for nothing in between") {
  const Folder folder;
  for (const char* words : {"elements", "elements melt.toml", "elements --output elements",
                            "elements melt.toml --output elements --verify elements"}) {
    CAPTURE(words);
    CHECK(folder.quern(words).code == 64);
  }
  CHECK(folder.quern("elements --verify elements").code == 1);
  CHECK(folder.quern("elements --verify nowhere").code == 1);
}

TEST_CASE("quern elements: Ctrl-C ends with 130 and leaves no file behind") {
  const Folder folder;
  const Ended ended = folder.run(
      "timeout --preserve-status -s INT 0.5 $QUERN elements melt.toml combined.toml solid.toml --output elements");
  CHECK(ended.code == 130);
  CHECK(has(ended.err, "cancelled"));
  CHECK(ended.out.empty());
  CHECK(fs::is_empty(folder.path / "elements"));
}

TEST_CASE("quern elements: progress goes to a terminal, and to nothing else") {
  const Folder folder;
  const std::string cancelled =
      "timeout --preserve-status -s INT 2 $QUERN elements melt.toml combined.toml --output elements";
  CHECK_FALSE(has(folder.run(cancelled).err, "%"));
  const Ended seen = folder.run("script -qec '" + cancelled + "' typescript < /dev/null");
  CHECK(has(seen.out, " %  element: "));
}

TEST_SUITE("slow") {
  TEST_CASE("quern elements: files that were written verify, and one changed by hand is named" *
            doctest::test_suite("slow")) {
    const Folder folder;
    const Ended written = folder.quern("elements melt.toml --output elements");
    CAPTURE(written.err);
    REQUIRE(written.code == 0);
    CHECK(folder.quern("elements --verify elements").code == 0);
    const fs::path first = fs::directory_iterator(folder.path / "elements")->path();
    std::string text = content_of(first);
    text[text.find("\"A1\": 0.") + 8] = '9';
    std::ofstream(first) << text;
    const Ended verified = folder.quern("elements --verify elements");
    CHECK(verified.code == 1);
    CHECK(has(verified.err, first.filename().string()));
  }
}
