#include "jobs/solve.hpp"

#include <memory>
#include <utility>
#include <vector>

#include "io/atomic_file.hpp"
#include "io/cautions.hpp"
#include "io/profile_csv.hpp"
#include "io/read_trial.hpp"
#include "io/report.hpp"
#include "jobs/elements.hpp"
#include "jobs/outputs.hpp"
#include "machine/parcels.hpp"
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

/// Gives the trial what its screw's elements do; from the shipped ones or the store, else solved now.
std::optional<Stop> add_elements(Trial& trial, const Progress& progress) {
  if (trial.numerics.estimate_elements) return std::nullopt;
  const Progress part{[&](double share, std::string_view name) {
                        if (progress.report) progress.report(0.05 + 0.65 * share, name);
                      },
                      progress.cancelled};
  Solved<ElementLibrary> library = solve_elements(shapes_to_solve(trial), ElementStore(element_store_folder()), part);
  if (!library) return std::move(library.error());
  trial.elements = std::make_shared<const ElementLibrary>(std::move(*library));
  return std::nullopt;
}

Structure structure_of(const Project& project, const LineState& state) {
  const std::vector<Station>& line = state.stations;
  const auto count = static_cast<std::size_t>(project.structure.parcels);
  const Parcels parcels = sample_parcels(line, count, project.structure.seed);
  return structure_of(project.structure, mean_history(line),
                      {count, [&](std::size_t i) { return history_of(line, parcels, i); }}, project.coefficients);
}

}  // namespace

SolveAnswer solve_project(const SolveRequest& request, Progress& progress) {
  refuse_overwriting(request.project, outputs_of(request));
  step(progress, 0.0, "reading");
  Project project = read_project(request.project);
  Trial& trial = project.trial;
  if (auto stop = add_elements(trial, progress)) return {std::move(trial), tl::unexpected(std::move(*stop))};
  step(progress, 0.7, "solving");
  Solved<LineState> state = solve(trial);
  std::optional<Structure> structure;
  if (state) {
    state->cautions = cautions(trial, *state);
    step(progress, 0.85, "structure");
    structure = structure_of(project, *state);
    step(progress, 0.95, "writing");
    if (request.profile) write_file(*request.profile, profile_csv(*state));
    if (request.report) write_file(*request.report, report_html(trial, *state, structure));
  }
  step(progress, 1.0, "done");
  return {std::move(trial), std::move(state), std::move(structure)};
}

}  // namespace quern
