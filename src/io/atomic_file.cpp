#include "io/atomic_file.hpp"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace quern {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(const std::string& path, const std::string& act, int error) {
  const std::string right = error == ENOENT   ? "make the folder first, or write to one that exists"
                            : error == EISDIR ? "write the name of a file, not of a folder"
                                              : "write to a folder with free space in which you may make files";
  throw InputError({{.file = path, .wrong = "cannot " + act + ": " + std::strerror(error), .right = right}});
}

/// An open descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (number_ >= 0) ::close(number_);
  }
  int number() const { return number_; }
  bool is_open() const { return number_ >= 0; }
  /// Some systems report a full disk only here.
  bool close() { return ::close(std::exchange(number_, -1)) == 0; }

 private:
  int number_;
};

/// A file that is removed again unless it was renamed.
class Part {
 public:
  explicit Part(std::string path) : path_(std::move(path)) {}
  Part(const Part&) = delete;
  Part& operator=(const Part&) = delete;
  ~Part() {
    if (!path_.empty()) ::unlink(path_.c_str());
  }
  bool rename_to(const fs::path& target) {
    if (::rename(path_.c_str(), target.c_str()) != 0) return false;
    path_.clear();
    return true;
  }

 private:
  std::string path_;
};

bool write_all(int descriptor, std::string_view content) {
  while (!content.empty()) {
    const ssize_t written = ::write(descriptor, content.data(), content.size());
    if (written < 0 && errno != EINTR) return false;
    if (written > 0) content.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

void write_in_place(const std::string& path, std::string_view content) {
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
  if (!file.is_open() || !write_all(file.number(), content)) refuse(path, "write", errno);
}

/// Permissions of the file that is replaced, or what the user's mask gives to a new one.
mode_t permissions(const fs::path& target) {
  struct stat old{};
  if (::stat(target.c_str(), &old) == 0) return old.st_mode & 07777;
  const mode_t mask = ::umask(0);
  ::umask(mask);
  return 0666 & ~mask;
}

/// Without this a power cut may undo the rename. Not every file system can do it; the content is safe either way.
void sync_folder(const fs::path& folder) {
  const Descriptor descriptor(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (descriptor.is_open()) ::fsync(descriptor.number());
}

void replace(const std::string& path, const fs::path& target, std::string_view content) {
  std::string name = target.parent_path() / ("." + target.filename().string() + ".XXXXXX.part");
  Descriptor file(::mkostemps(name.data(), 5, O_CLOEXEC));
  if (!file.is_open()) refuse(path, "write", errno);
  Part part(name);
  const bool is_written = write_all(file.number(), content) && ::fchmod(file.number(), permissions(target)) == 0 &&
                          ::fsync(file.number()) == 0 && file.close();
  if (!is_written) refuse(path, "write", errno);
  if (!part.rename_to(target)) refuse(path, "replace", errno);
  sync_folder(target.parent_path());
}

}  // namespace

void write_file(const std::string& path, std::string_view content) {
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (path.empty() || fs::is_directory(status)) refuse(path, "write", path.empty() ? ENOENT : EISDIR);
  if (fs::exists(status) && !fs::is_regular_file(status)) return write_in_place(path, content);
  const fs::path target = fs::weakly_canonical(path, error);
  if (error) refuse(path, "write", error.value());
  replace(path, target, content);
}

}  // namespace quern
