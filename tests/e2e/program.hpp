#pragma once
#include <cstdlib>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <sys/wait.h>
#include <vector>

/// For tests that run the built program as a user runs it.
namespace program {

namespace fs = std::filesystem;

struct Ended {
  int code;
  std::string out, err;
};

inline std::string content_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

struct Copy {
  std::string from, to;  ///< what a project is called in examples/, and here
};

/// A folder of its own for each case, with copies of bundled projects.
class ProgramFolder {
 public:
  fs::path path;
  /// @param own_cache of solved elements, empty at first; else the one of the environment
  explicit ProgramFolder(const std::vector<Copy>& projects, bool own_cache = false) : own_cache_(own_cache) {
    std::string name = (fs::temp_directory_path() / "quern-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    path = name;
    for (const auto& [from, to] : projects) fs::copy_file(fs::path(QUERN_SOURCE_DIR "/examples") / from, path / to);
  }
  ProgramFolder(const ProgramFolder&) = delete;
  ProgramFolder& operator=(const ProgramFolder&) = delete;
  ~ProgramFolder() { fs::remove_all(path); }

  /// A line for the shell, in this folder; $QUERN is the program.
  Ended run(const std::string& command) const {
    const std::string all = "cd '" + path.string() + "' && export " + (own_cache_ ? "QUERN_CACHE=cache " : "") +
                            "QUERN='" QUERN_PROGRAM "' && " + command + " > stdout.txt 2> stderr.txt";
    const int status = std::system(all.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, content_of(path / "stdout.txt"),
            content_of(path / "stderr.txt")};
  }
  Ended quern(const std::string& words) const { return run("$QUERN " + words); }

 private:
  bool own_cache_;
};

}  // namespace program
