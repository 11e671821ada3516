#pragma once
#include <algorithm>
#include <atomic>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <fmt/core.h>
#include <string>
#include <string_view>
#include <unistd.h>

#include "base/progress.hpp"
namespace quern {

/// Whether Ctrl-C was pressed since the program began to listen for it.
inline std::atomic<bool>& interrupted() {
  static std::atomic<bool> flag{false};
  return flag;
}

/// From now on Ctrl-C asks the work to stop; pressed once more it ends the program.
inline void listen_for_interrupt() {
  std::signal(SIGINT, [](int) {
    interrupted() = true;
    std::signal(SIGINT, SIG_DFL);
  });
}

/// Progress drawn on one line of the terminal, and only there: share and step, once the work has taken 0.3 s. Gone when
/// the work is. Reports may come from several threads, one at a time.
class ProgressBar {
 public:
  ProgressBar() : is_terminal_(isatty(STDERR_FILENO) == 1) {}
  ~ProgressBar() {
    if (is_drawn_) fmt::print(stderr, "\r\033[K");
  }
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  Progress progress() {
    return {[this](double share, std::string_view step) { draw(share, step); }, [] { return interrupted().load(); }};
  }

 private:
  using Clock = std::chrono::steady_clock;

  void draw(double share, std::string_view step) {
    if (!is_terminal_ || Clock::now() - begin_ < std::chrono::milliseconds(300)) return;
    constexpr int cells = 24;
    const double done = std::clamp(share, 0.0, 1.0);
    const auto full = static_cast<std::size_t>(done * cells);
    fmt::print(stderr, "\r\033[K[{}{}] {:3.0f} %  {}", std::string(full, '='), std::string(cells - full, ' '),
               100 * done, step.substr(0, 44));
    std::fflush(stderr);
    is_drawn_ = true;
  }

  bool is_terminal_, is_drawn_ = false;
  Clock::time_point begin_ = Clock::now();
};

}  // namespace quern
