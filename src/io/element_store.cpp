#include "io/element_store.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "io/atomic_file.hpp"
#include "io/element_file.hpp"

namespace quern {
namespace {

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value ? value : "";
}

std::string path_of(const std::string& folder, const ElementShape& shape) {
  return folder + "/" + element_file_name(shape);
}

}  // namespace

std::optional<ElementSolution> ElementStore::find(const ElementShape& shape) const {
  if (folder_.empty()) return std::nullopt;
  std::ifstream file(path_of(folder_, shape), std::ios::binary);
  if (!file) return std::nullopt;
  std::ostringstream text;
  text << file.rdbuf();  // a folder in the file's place opens, but reads as nothing
  ElementReading reading = read_element(text.str());
  return reading.solution && reading.solution->shape == shape ? std::move(reading.solution) : std::nullopt;
}

bool ElementStore::keep(const ElementSolution& solution) const {
  if (folder_.empty()) return false;
  std::error_code failed;
  std::filesystem::create_directories(folder_, failed);
  if (failed) return false;
  try {
    write_file(path_of(folder_, solution.shape), element_text(solution));
  } catch (const InputError&) {  // a full or read-only disk costs time, not results
    return false;
  }
  return true;
}

std::string element_store_folder() {
  if (const std::string own = environment("QUERN_CACHE"); !own.empty()) return own + "/elements";
  if (const std::string cache = environment("XDG_CACHE_HOME"); !cache.empty()) return cache + "/quern/elements";
  if (const std::string home = environment("HOME"); !home.empty()) return home + "/.cache/quern/elements";
  return "";
}

}  // namespace quern
