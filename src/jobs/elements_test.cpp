#include "jobs/elements.hpp"

#include <algorithm>
#include <atomic>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <unistd.h>

#include "flow/element_example.hpp"
#include "io/element_file.hpp"
#include "io/read_trial.hpp"

using doctest::Contains;
using namespace quern;
namespace fs = std::filesystem;

namespace {

struct Folder {
  fs::path path;
  Folder() {
    std::string name = (fs::temp_directory_path() / "quern-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path = name;
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path); }
  long entries() const { return std::distance(fs::directory_iterator(path), fs::directory_iterator()); }
};

Trial example() { return read_trial(QUERN_SOURCE_DIR "/examples/combined.toml"); }
const Progress cancelled{{}, [] { return true; }};

/// Figures that only the store can have: no solver finds them.
ElementSolution kept(const ElementShape& shape) {
  ElementSolution s{.shape = shape, .line = {.A1 = 0.123, .B = 1e-4, .P0 = 3000, .P1 = 1230}};
  s.thinning = {{.index = 1, .throughput = 1, .rate_pressure = 80, .rate_consuming = 70, .rate_power = 90}};
  s.tracked.throughput = 0.06, s.tracked.length = 2, s.tracked.time = 8, s.tracked.mixing_length = 1;
  s.tracked.time_5 = 4, s.tracked.time_95 = 20, s.tracked.strain = 100;
  return s;
}

/// Shapes that do not come with the program.
std::vector<ElementShape> own_shapes() { return {conveying_example(1.2345), kneading_example(60, 0.31)}; }

}  // namespace

TEST_CASE("elements: a screw's shapes are asked for once each, those with figures of the user's own not at all") {
  Trial trial = example();
  const std::vector<ElementShape> shapes = shapes_to_solve(trial);
  CHECK(shapes.size() > 3);
  CHECK(shapes.size() < trial.screw.elements.size());
  for (std::size_t i = 0; i < shapes.size(); ++i) CHECK(std::count(shapes.begin(), shapes.end(), shapes[i]) == 1);
  for (const Element& e : trial.screw.elements)
    if (e.kind == ElementKind::conveying || e.kind == ElementKind::kneading)
      CHECK(std::ranges::find(shapes, shape_of(trial.machine.section, e).shape) != shapes.end());
  for (Element& e : trial.screw.elements) e.characteristics = Characteristics{0.3, 1e-4, 3000, 3000};
  CHECK(shapes_to_solve(trial).empty());
}

TEST_CASE("elements: a screw that cannot be has no shapes to solve") {
  Trial trial = example();
  trial.machine.section.screw_gap = 0, trial.machine.section.barrel_bore = trial.machine.section.screw_diameter;
  CHECK(shapes_to_solve(trial).empty());
}

TEST_CASE("elements: what the store has is not solved again") {
  const Folder folder;
  const ElementStore store(folder.path.string());
  for (const ElementShape& shape : own_shapes()) REQUIRE(store.keep(kept(shape)));
  const auto library = solve_elements(own_shapes(), store, cancelled);  // a solver would stop
  REQUIRE(library);
  CHECK(library->all().size() == 2);
  CHECK(library->find(own_shapes()[1])->line.A1 == 0.123);
}

TEST_CASE("elements: cancelled before it began, or on the way, it says so and keeps nothing") {
  const Folder folder;
  const ElementStore store(folder.path.string());
  for (const int threads : {1, 2})
    for (const int after : {0, 3}) {
      std::atomic<int> asked = 0;
      const Progress progress{{}, [&] { return asked++ >= after; }};
      const auto library = solve_elements(own_shapes(), store, progress, threads);
      REQUIRE_FALSE(library);
      CHECK(library.error().name == "cancelled");
      CHECK(asked <= after + threads);  // nobody goes on once one was told
    }
  CHECK(folder.entries() == 0);
}

TEST_CASE("elements: a damaged file in the store is solved anew, not believed") {
  const Folder folder;
  const ElementStore store(folder.path.string());
  const ElementShape shape = own_shapes()[0];
  REQUIRE(store.keep(kept(shape)));
  const std::string path = (folder.path / element_file_name(shape)).string();
  std::ofstream(path, std::ios::trunc) << "{}";
  CHECK_FALSE(solve_elements({shape}, store, cancelled));  // wanted to solve, and was not let
}

TEST_CASE("elements: none to solve is no fault") {
  const auto library = solve_elements({}, ElementStore(""), cancelled);
  REQUIRE(library);
  CHECK(library->all().empty());
}

TEST_CASE("elements: a folder to verify tells every file that cannot be used, and one without files is refused") {
  const Folder folder;
  CHECK_THROWS_WITH_AS(verify_elements(folder.path.string(), {}), Contains("no element files are there"), InputError);
  CHECK_THROWS_AS(verify_elements((folder.path / "nowhere").string(), {}), InputError);
  std::ofstream(folder.path / "a.json") << "{}";
  std::string edited = element_text(kept(own_shapes()[0]));
  edited.replace(edited.find("0.123"), 5, "0.124");
  std::ofstream(folder.path / "b.json") << edited;
  std::ofstream(folder.path / "read.me") << "not an element";
  fs::create_directory(folder.path / "c.json");
  const auto wrong = verify_elements(folder.path.string(), {});
  REQUIRE(wrong);
  CHECK(wrong->size() == 3);
  CHECK(std::ranges::count_if(*wrong, [](const std::string& w) { return w.find("changed by hand") != w.npos; }) == 1);
}

TEST_SUITE("slow") {
  TEST_CASE("elements: one and two threads give the same bits, kept so that the next run solves nothing") {
    const Folder folder;
    const ElementStore none(""), store(folder.path.string());
    double before = 0;
    bool rising = true;
    const Progress progress{[&](double share, std::string_view) { rising &= share >= before, before = share; }, {}};
    const auto one = solve_elements(own_shapes(), none, {}, 1), two = solve_elements(own_shapes(), store, progress, 2);
    REQUIRE(one);
    REQUIRE(two);
    CHECK(rising);
    CHECK(before == 1);
    for (const ElementShape& shape : own_shapes()) CHECK(*one->find(shape) == *two->find(shape));
    CHECK(folder.entries() == 2);
    const auto again = solve_elements(own_shapes(), store, cancelled);
    REQUIRE(again);
    for (const ElementShape& shape : own_shapes()) CHECK(*one->find(shape) == *again->find(shape));
    const auto wrong = verify_elements(folder.path.string(), {});
    REQUIRE(wrong);
    CHECK(wrong->empty());
  }
}
