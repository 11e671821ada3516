#include "jobs/solve.hpp"

#include <filesystem>
#include <utility>

#include "io/atomic_file.hpp"
#include "io/cautions.hpp"
#include "io/profile_csv.hpp"
#include "io/read_trial.hpp"
#include "io/report.hpp"
#include "machine/solve.hpp"

namespace quern {
namespace {

namespace fs = std::filesystem;

bool is_same_file(const std::string& a, const std::string& b) {
  std::error_code error;
  return fs::weakly_canonical(a, error) == fs::weakly_canonical(b, error) && !error;
}

/// An output named like the project would destroy the input; two outputs of one name, the first of them.
void refuse_overwriting(const SolveRequest& request) {
  std::vector<Fault> faults;
  for (const auto& output : {request.profile, request.report}) {
    if (output && is_same_file(*output, request.project))
      faults.push_back({.file = *output, .wrong = "would overwrite the project", .right = "give it another name"});
  }
  if (request.profile && request.report && is_same_file(*request.profile, *request.report))
    faults.push_back({.file = *request.report,
                      .wrong = "would be both profile and report",
                      .right = "give them two names, for example out.csv and out.html"});
  if (!faults.empty()) throw InputError(std::move(faults));
}

void step(Progress& progress, double share, std::string_view name) {
  if (progress.report) progress.report(share, name);
}

}  // namespace

SolveAnswer solve_project(const SolveRequest& request, Progress& progress) {
  refuse_overwriting(request);
  step(progress, 0.0, "reading");
  Trial trial = read_trial(request.project);
  step(progress, 0.1, "solving");
  Solved<LineState> state = solve(trial);
  if (state) {
    state->cautions = cautions(trial, *state);
    step(progress, 0.8, "writing");
    if (request.profile) write_file(*request.profile, profile_csv(*state));
    if (request.report) write_file(*request.report, report_html(trial, *state));
  }
  step(progress, 1.0, "done");
  return {std::move(trial), std::move(state)};
}

}  // namespace quern
