#include "jobs/outputs.hpp"

#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <unistd.h>

#include "base/error.hpp"
#include "jobs/sheet.hpp"
#include "jobs/solve.hpp"

using namespace quern;

namespace {

namespace fs = std::filesystem;

/// A folder of its own with a project in it, gone at the end.
struct Folder {
  fs::path path = fs::temp_directory_path() / ("quern-outputs-" + std::to_string(getpid()));
  Folder() {
    fs::create_directories(path);
    std::ofstream(path / "line.toml") << "format = \"quern/1\"\n";
    fs::create_symlink(path / "line.toml", path / "soft");
    fs::create_hard_link(path / "line.toml", path / "hard");
  }
  ~Folder() { fs::remove_all(path); }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string operator/(const std::string& name) const { return (path / name).string(); }
};

std::vector<Fault> faults_of(const std::string& project, const std::vector<Output>& outputs) {
  try {
    refuse_overwriting(project, outputs);
  } catch (const InputError& error) {
    return error.faults();
  }
  return {};
}

}  // namespace

TEST_CASE("outputs: a project is recognised by another way to its name and by either kind of link") {
  const Folder folder;
  const std::string project = folder / "line.toml";
  for (const char* name : {"line.toml", "./line.toml", "absent/../line.toml", "soft", "hard"}) {
    CAPTURE(name);
    const auto faults = faults_of(project, {{"report", folder / name}});
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].file == folder / name);
    CHECK(faults[0].wrong == "would overwrite the project");
  }
}

TEST_CASE("outputs: names apart from each other and from the project pass, whether the files exist or not") {
  const Folder folder;
  std::ofstream(folder / "old.csv") << "old";
  CHECK(faults_of(folder / "line.toml", {{"profile", folder / "old.csv"}, {"report", folder / "new.html"}}).empty());
  CHECK(faults_of(folder / "line.toml", {}).empty());
}

TEST_CASE("outputs: two of one name are refused before either exists, with what each would be") {
  const Folder folder;
  const auto faults =
      faults_of(folder / "line.toml", {{"profile", folder / "out"}, {"report", folder / "absent/../out"}});
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].wrong == "would be both profile and report");
}

TEST_CASE("outputs: solving and the sheet refuse a link to the project before reading it") {
  const Folder folder;
  Progress progress;
  for (const char* name : {"soft", "hard"}) {
    CAPTURE(name);
    SolveRequest request{.project = folder / "line.toml"};
    request.report = folder / name;
    CHECK_THROWS_WITH_AS(solve_project(request, progress), doctest::Contains("would overwrite the project"),
                         InputError);
    CHECK_THROWS_WITH_AS(write_sheet(folder / "line.toml", folder / name),
                         doctest::Contains("would overwrite the project"), InputError);
  }
}
