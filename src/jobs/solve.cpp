#include "jobs/solve.hpp"

#include <utility>
#include <vector>

#include "io/atomic_file.hpp"
#include "io/cautions.hpp"
#include "io/profile_csv.hpp"
#include "io/read_trial.hpp"
#include "io/report.hpp"
#include "jobs/outputs.hpp"
#include "machine/solve.hpp"

namespace quern {
namespace {

std::vector<Output> outputs_of(const SolveRequest& request) {
  std::vector<Output> outputs;
  if (request.profile) outputs.push_back({"profile", *request.profile});
  if (request.report) outputs.push_back({"report", *request.report});
  return outputs;
}

void step(Progress& progress, double share, std::string_view name) {
  if (progress.report) progress.report(share, name);
}

}  // namespace

SolveAnswer solve_project(const SolveRequest& request, Progress& progress) {
  refuse_overwriting(request.project, outputs_of(request));
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
