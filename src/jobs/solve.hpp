#pragma once
#include <optional>
#include <string>

#include "base/error.hpp"
#include "base/progress.hpp"
#include "machine/line_state.hpp"
#include "machine/trial.hpp"
#include "structure/structure_plan.hpp"
namespace quern {

/// A trial to predict, and the files to leave behind.
struct SolveRequest {
  std::string project;                   ///< path of the project file
  std::optional<std::string> profile{};  ///< write the profiles along the screw here, CSV
  std::optional<std::string> report{};   ///< write the report here, HTML
};

/// The trial as read, its steady state or why there is none, and with a state what it makes of the material.
struct SolveAnswer {
  Trial trial;
  Solved<LineState> state;
  std::optional<Structure> structure{};
};

/// Reads a project, solves it, and writes what was asked for. Files are written whole or not at all, and only when
/// there is a steady state: a stopped calculation leaves no file and touches no old one.
/// @throws InputError  the project cannot be used, or a file cannot be written
SolveAnswer solve_project(const SolveRequest& request, Progress& progress);

}  // namespace quern
