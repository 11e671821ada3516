#include "io/atomic_file.hpp"

#include <chrono>
#include <doctest/doctest.h>
#include <filesystem>
#include <fstream>
#include <signal.h>
#include <sstream>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace fs = std::filesystem;
using quern::InputError;
using quern::write_file;

namespace {

/// A folder of its own for each case, gone at the end.
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
  std::string operator/(const char* name) const { return (path / name).string(); }
  long entries() const { return std::distance(fs::directory_iterator(path), fs::directory_iterator()); }
};

std::string content_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace

TEST_CASE("atomic file: content arrives byte for byte, and a second write replaces all of it") {
  const Folder folder;
  const std::string path = folder / "out.html";
  const std::string first = std::string("long\0text\r\n", 11) + std::string(100'000, 'x');
  write_file(path, first);
  CHECK(content_of(path) == first);
  write_file(path, "short");
  CHECK(content_of(path) == "short");
  write_file(path, "");
  CHECK(content_of(path).empty());
  CHECK(folder.entries() == 1);
}

TEST_CASE("atomic file: a replaced file keeps its permissions, a link stays a link") {
  const Folder folder;
  write_file(folder / "real.csv", "old");
  fs::permissions(folder / "real.csv", fs::perms::owner_read | fs::perms::owner_write);
  fs::create_symlink("real.csv", folder / "link.csv");
  write_file(folder / "link.csv", "new");
  CHECK(fs::is_symlink(folder / "link.csv"));
  CHECK(content_of(folder / "real.csv") == "new");
  CHECK(fs::status(folder / "real.csv").permissions() == (fs::perms::owner_read | fs::perms::owner_write));
}

TEST_CASE("atomic file: a new file has the permissions that any program's new file has") {
  const Folder folder;
  std::ofstream(folder / "theirs") << "x";
  write_file(folder / "ours", "x");
  CHECK(fs::status(folder / "ours").permissions() == fs::status(folder / "theirs").permissions());
}

TEST_CASE("atomic file: a missing folder, a folder in the way and an empty name are refused by name") {
  const Folder folder;
  const auto refusal = [](const std::string& path) -> quern::Fault {
    try {
      write_file(path, "x");
    } catch (const InputError& error) {
      return error.faults().at(0);
    }
    return {};
  };
  CHECK(refusal(folder / "none/out.html").file == folder / "none/out.html");
  CHECK(refusal(folder / "none/out.html").wrong.find("No such file or directory") != std::string::npos);
  CHECK(refusal(folder / "none/out.html").right.find("make the folder") != std::string::npos);
  CHECK(refusal(folder.path.string()).right.find("not of a folder") != std::string::npos);
  CHECK_FALSE(refusal("").wrong.empty());
  CHECK(folder.entries() == 0);
}

TEST_CASE("atomic file: when the disk takes no more, the old file stays and nothing else is left") {
  const Folder folder;
  const std::string path = folder / "out.html";
  write_file(path, "old");
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {  // a limit on file size stands in for a full disk: writes fail half-way, with EFBIG
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{4096, 4096};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    try {
      write_file(path, std::string(1'000'000, 'n'));
    } catch (const InputError&) {
      ::_exit(1);
    }
    ::_exit(0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 1);
  CHECK(content_of(path) == "old");
  CHECK(folder.entries() == 1);
}

TEST_CASE("atomic file: a writer killed at any moment leaves the old text or the new one, whole") {
  const Folder folder;
  const std::string path = folder / "out.html";
  const std::string a(200'000, 'a'), b(300'000, 'b');
  write_file(path, a);
  for (int kill_number = 0; kill_number < 60; ++kill_number) {
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      for (;;) {
        write_file(path, b);
        write_file(path, a);
      }
    }
    std::this_thread::sleep_for(std::chrono::microseconds(300 + 311 * kill_number));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    CAPTURE(kill_number);
    CHECK(WIFSIGNALED(status));
    const std::string left = content_of(path);
    CHECK((left == a || left == b));
  }
}

TEST_CASE("atomic file: a device is written to, never replaced") {
  write_file("/dev/null", "gone");
  CHECK(fs::is_character_file("/dev/null"));
}
