#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <cstdio>
#include <fmt/core.h>
#include <optional>
#include <string>
#include <vector>

#include "base/error.hpp"
#include "base/quantity.hpp"
#include "io/result_json.hpp"
#include "io/result_text.hpp"
#include "jobs/materials.hpp"
#include "jobs/sheet.hpp"
#include "jobs/solve.hpp"

namespace {

enum Exit { done = 0, refused = 1, stopped = 2, wrong_usage = 64, broken = 70 };

/// What the user asked for, as CLI11 fills it in.
struct Arguments {
  quern::SolveRequest solve{};
  std::string project{};
  std::optional<std::string> output{}, material{};
  bool json = false;
};

Exit solve(const Arguments& arguments) {
  quern::Progress progress;
  const quern::SolveAnswer answer = quern::solve_project(arguments.solve, progress);
  if (arguments.json) fmt::print("{}\n", quern::result_json(answer.trial, answer.state));
  if (!answer.state) {
    const quern::Stop& stop = answer.state.error();
    const bool is_impossible = stop.kind == quern::Stop::Kind::impossible;
    fmt::print(stderr, "{}: {}: {}: {}\n    {}\n", arguments.solve.project,
               is_impossible ? "impossible" : "not converged", stop.name, stop.place, stop.text);
    return stopped;
  }
  if (arguments.json) return done;
  fmt::print("{}\n", quern::result_text(answer.trial, *answer.state));
  if (arguments.solve.profile) fmt::print("profile: {}\n", *arguments.solve.profile);
  if (arguments.solve.report) fmt::print("report:  {}\n", *arguments.solve.report);
  return done;
}

Exit sheet(const Arguments& arguments) {
  if (!arguments.output) {
    fmt::print("{}\n", quern::sheet_html(arguments.project));
    return done;
  }
  quern::write_sheet(arguments.project, *arguments.output);
  fmt::print("sheet: {}\n", *arguments.output);
  return done;
}

Exit materials(const Arguments& arguments) {
  const std::string text =
      arguments.json ? quern::materials_json(arguments.material) : quern::materials_text(arguments.material);
  fmt::print("{}\n", text);
  return done;
}

/// The commands and their options, bound to `arguments`.
void describe_usage(CLI::App& app, Arguments& arguments) {
  app.set_version_flag("--version", "quern " QUERN_VERSION);
  app.require_subcommand(1);
  app.footer(
      "Exit codes: 0 done, 1 the input is refused, 2 not converged or physically impossible, 64 wrong usage.\n"
      "Information to support trained people, not an instruction; the machine's own limits and guards come first.");

  CLI::App* solve = app.add_subcommand("solve", "The steady state of one trial");
  solve->add_option("PROJECT", arguments.solve.project, "Project file, TOML")->required()->type_name("");
  solve->add_flag("--json", arguments.json, "Print the result for programs, SI units");
  solve->add_option("--profile", arguments.solve.profile, "Write the profiles along the screw, CSV")
      ->type_name("F.csv");
  solve->add_option("--report", arguments.solve.report, "Write the report, one HTML file")->type_name("F.html");

  CLI::App* sheet =
      app.add_subcommand("sheet", "The screw assembly sheet, HTML; printed here unless --output is given");
  sheet->add_option("PROJECT", arguments.project, "Project file, TOML")->required()->type_name("");
  sheet->add_option("--output", arguments.output, "Write the sheet to this file")->type_name("F.html");

  CLI::App* materials = app.add_subcommand("materials", "The material library and where its numbers come from");
  materials->add_option("NAME", arguments.material, "One material; all are listed without it")->type_name("");
  materials->add_flag("--json", arguments.json, "Print for programs, SI units");
}

/// "; did you mean "--report"?" when a word of the command line is nearly one of those that exist.
std::string hint(const CLI::App& app, const std::vector<std::string>& words) {
  std::vector<std::string> known;
  for (const CLI::App* command : app.get_subcommands({})) {
    known.push_back(command->get_name());
    if (words.empty() || command->get_name() != words.front()) continue;
    for (const CLI::Option* option : command->get_options()) known.push_back(option->get_name());
  }
  const std::vector<std::string_view> candidates(known.begin(), known.end());
  for (std::size_t i = 0; i < words.size(); ++i) {
    const bool is_name = i == 0 || words[i].starts_with("--");
    if (!is_name || std::find(known.begin(), known.end(), words[i]) != known.end()) continue;
    const std::string_view near = quern::nearest(words[i].substr(0, words[i].find('=')), candidates);
    if (!near.empty()) return fmt::format("; did you mean \"{}\"?", near);
  }
  return "";
}

Exit wrong_command_line(const CLI::App& app, const std::vector<std::string>& words, const CLI::ParseError& error) {
  if (words.empty()) {
    fmt::print(stderr, "{}", app.help());
    return wrong_usage;
  }
  const auto commands =
      app.get_subcommands([&](const CLI::App* command) { return command->get_name() == words.front(); });
  const bool is_known = !commands.empty();
  const bool is_misspelt = !is_known && !words.front().starts_with("-");
  const std::string what = is_misspelt ? fmt::format("no command \"{}\"", words.front()) : error.what();
  fmt::print(stderr, "quern: {}{}\n    quern {}--help lists what there is\n", what, hint(app, words),
             is_known ? words.front() + " " : "");
  return wrong_usage;
}

/// Faults for people on stderr, and for programs on stdout when they asked for JSON.
Exit refuse(const quern::InputError& error, bool json) {
  fmt::print(stderr, "{}\n", quern::describe(error.faults()));
  if (json) fmt::print("{}\n", quern::faults_json(error.faults()));
  return refused;
}

Exit run(const CLI::App& app, const Arguments& arguments) {
  if (app.got_subcommand("solve")) return solve(arguments);
  if (app.got_subcommand("sheet")) return sheet(arguments);
  return materials(arguments);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Predicts one trial on an intermeshing co-rotating twin-screw line.", "quern");
  Arguments arguments;
  describe_usage(app, arguments);
  const std::vector<std::string> words(argv + std::min(argc, 1), argv + argc);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return error.get_exit_code() == 0 ? app.exit(error) : wrong_command_line(app, words, error);
  }
  try {
    const Exit code = run(app, arguments);
    if (std::fflush(stdout) == 0) return code;
    fmt::print(stderr, "quern: standard output takes no more\n");
    return refused;
  } catch (const quern::InputError& error) {
    return refuse(error, arguments.json);
  } catch (const std::exception& error) {  // a defect or an exhausted computer: say so, never a figure
    fmt::print(stderr, "quern: stopped by an unexpected fault: {}\n    please report it with the project file\n",
               error.what());
    return broken;
  }
}
