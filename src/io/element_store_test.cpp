#include "io/element_store.hpp"

#include <cstdlib>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <unistd.h>

#include "flow/element_example.hpp"
#include "io/element_file.hpp"

using namespace quern;
namespace fs = std::filesystem;

namespace {

/// A folder of its own, gone with the test.
class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / ("quern-store-" + std::to_string(getpid()))) {
    fs::remove_all(path_);
    fs::create_directories(path_);
  }
  ~Folder() {
    std::error_code ignored;
    fs::permissions(path_, fs::perms::owner_all, ignored);
    fs::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string operator/(const std::string& name) const { return (path_ / name).string(); }
  std::string str() const { return path_.string(); }

 private:
  fs::path path_;
};

ElementSolution some_solution(double lead = 1) {
  ElementSolution s{.shape = conveying_example(lead), .line = {.A1 = 0.3, .B = 1e-4, .P0 = 3000, .P1 = 0.3 / 1e-4}};
  s.thinning = {{.index = 1, .throughput = 1, .rate_pressure = 80, .rate_consuming = 70, .rate_power = 90}};
  s.tracked.throughput = 0.15, s.tracked.length = 2, s.tracked.time = 8, s.tracked.mixing_length = 1;
  s.tracked.time_5 = 4, s.tracked.time_95 = 20, s.tracked.strain = 100;
  return s;
}

std::string file_of(const ElementStore& store, const ElementSolution& s) {
  return store.folder() + "/" + element_file_name(s.shape);
}

}  // namespace

TEST_CASE("element store: what is kept is found again, in a folder that it makes itself") {
  const Folder folder;
  const ElementStore store(folder / "not/yet/there");
  CHECK_FALSE(store.find(conveying_example(1)));
  CHECK(store.keep(some_solution()));
  REQUIRE(store.find(conveying_example(1)));
  CHECK(*store.find(conveying_example(1)) == some_solution());
  CHECK_FALSE(store.find(conveying_example(1.5)));
  CHECK(ElementStore(folder / "not/yet/there").find(conveying_example(1)));  // another run of the program
}

TEST_CASE("element store: without a folder nothing is kept and nothing found") {
  const ElementStore store("");
  CHECK_FALSE(store.keep(some_solution()));
  CHECK_FALSE(store.find(conveying_example(1)));
}

TEST_CASE("element store: a folder that cannot be, or be written, costs nothing but time") {
  const Folder folder;
  std::ofstream(folder / "file") << "in the way";
  const ElementStore blocked(folder / "file/store");
  CHECK_FALSE(blocked.keep(some_solution()));
  CHECK_FALSE(blocked.find(conveying_example(1)));
  CHECK_FALSE(ElementStore("/proc/no-such-place").keep(some_solution()));  // even for the superuser
  const ElementStore occupied(folder.str());
  fs::create_directories(file_of(occupied, some_solution()) + "/inside");
  CHECK_FALSE(occupied.keep(some_solution()));
  CHECK_FALSE(occupied.find(conveying_example(1)));
  if (geteuid() == 0) return;  // the superuser writes anywhere else
  fs::create_directories(folder / "locked");
  fs::permissions(folder / "locked", fs::perms::owner_read | fs::perms::owner_exec);
  CHECK_FALSE(ElementStore(folder / "locked").keep(some_solution()));
}

TEST_CASE("element store: a damaged file is as if it were not there, and is written over") {
  const Folder folder;
  const ElementStore store(folder.str());
  REQUIRE(store.keep(some_solution()));
  const std::string path = file_of(store, some_solution()), good = element_text(some_solution());
  std::string changed = good;
  changed[changed.find("0.3")] = '1';
  for (const std::string& text : {std::string(), good.substr(0, good.size() / 2), std::string("{}"), changed}) {
    std::ofstream(path, std::ios::binary | std::ios::trunc) << text;
    CHECK_FALSE(store.find(conveying_example(1)));
    CHECK(store.keep(some_solution()));
    CHECK(store.find(conveying_example(1)));
  }
}

TEST_CASE("element store: a file under another shape's name is not taken for it") {
  const Folder folder;
  const ElementStore store(folder.str());
  REQUIRE(store.keep(some_solution(1)));
  fs::copy_file(file_of(store, some_solution(1)), file_of(store, some_solution(1.5)));
  CHECK_FALSE(store.find(conveying_example(1.5)));
}

TEST_CASE("element store: one file per shape, and nothing half-written beside them") {
  const Folder folder;
  const ElementStore store(folder.str());
  for (const double lead : {1.0, 1.5, 1.0}) store.keep(some_solution(lead));
  CHECK(std::distance(fs::directory_iterator(folder.str()), fs::directory_iterator{}) == 2);
}

TEST_CASE("element store: its folder is the user's cache, QUERN_CACHE first") {
  const auto saved = [](const char* name) {
    const char* value = std::getenv(name);
    return value ? std::string(value) : std::string();
  };
  const std::string own = saved("QUERN_CACHE"), cache = saved("XDG_CACHE_HOME"), home = saved("HOME");
  const auto with = [](const char* q, const char* x, const char* h) {
    setenv("QUERN_CACHE", q, 1), setenv("XDG_CACHE_HOME", x, 1), setenv("HOME", h, 1);
    return element_store_folder();
  };
  CHECK(with("/q", "/x", "/h") == "/q/elements");
  CHECK(with("", "/x", "/h") == "/x/quern/elements");
  CHECK(with("", "", "/h") == "/h/.cache/quern/elements");
  CHECK(with("", "", "") == "");
  for (const auto& [name, value] :
       {std::pair{"QUERN_CACHE", own}, std::pair{"XDG_CACHE_HOME", cache}, std::pair{"HOME", home}})
    if (value.empty()) unsetenv(name);
    else setenv(name, value.c_str(), 1);
}
