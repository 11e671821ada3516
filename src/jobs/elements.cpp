#include "jobs/elements.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <mutex>
#include <sstream>
#include <thread>

#include "flow/element_flow.hpp"
#include "io/atomic_file.hpp"
#include "io/element_file.hpp"
#include "io/read_trial.hpp"

namespace quern {
namespace {

std::string describe(const ElementShape& s) {
  return s.kind == ElementKind::conveying
             ? fmt::format("conveying, {} starts, lead {:.4g} D", s.starts, s.lead)
             : fmt::format("kneading, {} starts, {} discs of {:.4g} D, {:.4g} deg", s.starts, s.discs, s.disc_width,
                           s.stagger * 180 / 3.14159265358979);
}

/// Work shared by several threads: each takes the next shape, and reports what share of all is done.
class Workshop {
 public:
  Workshop(const std::vector<ElementShape>& shapes, const Progress& progress)
      : shapes_(shapes), progress_(progress), shares_(shapes.size()), outcomes_(shapes.size()) {}

  std::vector<ElementOutcome> run(int threads) {
    const auto n =
        std::clamp<std::size_t>(threads > 0 ? static_cast<std::size_t>(threads) : std::thread::hardware_concurrency(),
                                1, std::max<std::size_t>(1, shapes_.size()));
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < n; ++i) others.emplace_back([this] { work(); });
    work();
    others.clear();
    return std::move(outcomes_);
  }

 private:
  void work() {
    for (std::size_t i = next_++; i < shapes_.size(); i = next_++) {
      const Progress own{[this, i](double share, std::string_view) { report(i, share); },
                         [this] { return stop_ || (progress_.cancelled && progress_.cancelled()); }};
      outcomes_[i] = solve_element(shapes_[i], {}, own);
      if (!outcomes_[i].solution) stop_ = true;
    }
  }

  void report(std::size_t i, double share) {
    const std::lock_guard lock(mutex_);
    shares_[i] = share;
    double sum = 0;
    for (const double s : shares_) sum += s;
    if (progress_.report)
      progress_.report(sum / static_cast<double>(shares_.size()), fmt::format("element: {}", describe(shapes_[i])));
  }

  const std::vector<ElementShape>& shapes_;
  const Progress& progress_;
  std::vector<double> shares_;
  std::vector<ElementOutcome> outcomes_;
  std::atomic<std::size_t> next_{0};
  std::atomic<bool> stop_{false};
  std::mutex mutex_;
};

Stop stop(const std::vector<ElementShape>& shapes, const std::vector<ElementOutcome>& outcomes) {
  // others were told to stop because of the one that failed
  for (const bool told : {false, true})
    for (std::size_t i = 0; i < shapes.size(); ++i)
      if (!outcomes[i].solution && (outcomes[i].stopped == "cancelled") == told)
        return {Stop::Kind::not_converged, told ? "cancelled" : outcomes[i].stopped, describe(shapes[i]),
                told ? "the calculation was cancelled"
                     : "the flow through this element did not settle; give it characteristics of its own, or estimated "
                       "elements in [numerics]"};
  return {};
}

std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();  // what cannot be read, a folder say, is empty
  return text.str();
}

/// Largest relative difference of the characteristics and thinning figures.
double difference(const ElementSolution& a, const ElementSolution& b) {
  double most = 0;
  const auto compare = [&](double x, double y) {
    most = std::max(most, std::abs(x - y) / std::max(std::abs(x), 1e-9));
  };
  const auto lines = [&](const Characteristics& x, const Characteristics& y) {
    compare(x.A1, y.A1), compare(x.B, y.B), compare(x.P0, y.P0);
  };
  lines(a.line, b.line);
  lines(a.block.value_or(a.line), b.block.value_or(b.line));
  if (a.thinning.size() != b.thinning.size() || a.block.has_value() != b.block.has_value()) return 1;
  for (std::size_t i = 0; i < a.thinning.size(); ++i) {
    const ThinningFigures &x = a.thinning[i], &y = b.thinning[i];
    compare(x.throughput, y.throughput), compare(x.rate_pressure, y.rate_pressure);
    compare(x.rate_consuming, y.rate_consuming), compare(x.rate_power, y.rate_power);
  }
  return most;
}

}  // namespace

std::vector<ElementShape> shapes_to_solve(const Trial& trial) {
  std::vector<ElementShape> shapes;
  for (const Element& e : trial.screw.elements) {
    if (e.characteristics || (e.kind != ElementKind::conveying && e.kind != ElementKind::kneading)) continue;
    if (!flow_faults(trial.machine.section, e).empty()) return {};
    const ElementShape shape = shape_of(trial.machine.section, e).shape;
    if (std::ranges::find(shapes, shape) == shapes.end()) shapes.push_back(shape);
  }
  return shapes;
}

Solved<ElementLibrary> solve_elements(const std::vector<ElementShape>& shapes, const ElementStore& store,
                                      const Progress& progress, int threads) {
  ElementLibrary library;
  std::vector<ElementShape> missing;
  for (const ElementShape& shape : shapes) {
    if (const ElementSolution* shipped = shipped_elements().find(shape)) library.insert(*shipped);
    else if (std::optional<ElementSolution> kept = store.find(shape)) library.insert(std::move(*kept));
    else missing.push_back(shape);
  }
  std::vector<ElementOutcome> outcomes = Workshop(missing, progress).run(threads);
  for (ElementOutcome& outcome : outcomes) {
    if (!outcome.solution) continue;
    store.keep(*outcome.solution);
    library.insert(std::move(*outcome.solution));
  }
  if (library.all().size() < shapes.size()) return tl::unexpected(stop(missing, outcomes));
  return library;
}

Solved<std::vector<std::string>> write_elements(const std::vector<std::string>& projects, const std::string& folder,
                                                const Progress& progress) {
  std::vector<ElementShape> shapes;
  for (const std::string& project : projects)
    for (const ElementShape& shape : shapes_to_solve(read_trial(project)))
      if (std::ranges::find(shapes, shape) == shapes.end()) shapes.push_back(shape);
  std::vector<ElementOutcome> outcomes = Workshop(shapes, progress).run(0);
  if (!std::ranges::all_of(outcomes, [](const ElementOutcome& o) { return o.solution.has_value(); }))
    return tl::unexpected(stop(shapes, outcomes));
  std::vector<std::string> files;
  for (const ElementOutcome& outcome : outcomes) {
    files.push_back(folder + "/" + element_file_name(outcome.solution->shape));
    write_file(files.back(), element_text(*outcome.solution));
  }
  return files;
}

Solved<std::vector<std::string>> verify_elements(const std::string& folder, const Progress& progress) {
  std::vector<std::string> wrong, names;
  std::vector<ElementSolution> stated;
  std::vector<ElementShape> shapes;
  std::error_code failed;
  for (const auto& entry : std::filesystem::directory_iterator(folder, failed)) {
    if (entry.path().extension() != ".json") continue;
    const ElementReading reading = read_element(text_of(entry.path()));
    if (!reading.solution) {
      wrong.push_back(fmt::format("{}: {}", entry.path().string(), reading.wrong));
      continue;
    }
    names.push_back(entry.path().string()), stated.push_back(*reading.solution);
    shapes.push_back(reading.solution->shape);
  }
  if (failed || (names.empty() && wrong.empty()))
    throw InputError({{.file = folder, .wrong = "no element files are there", .right = "a folder of element files"}});
  const std::vector<ElementOutcome> outcomes = Workshop(shapes, progress).run(0);
  for (std::size_t i = 0; i < shapes.size(); ++i) {
    if (!outcomes[i].solution) return tl::unexpected(stop(shapes, outcomes));
    constexpr double alike = 1e-6;
    if (const double d = difference(stated[i], *outcomes[i].solution); d > alike)
      wrong.push_back(fmt::format("{}: differs by {:.1e} from what is computed now", names[i], d));
  }
  return wrong;
}

}  // namespace quern
