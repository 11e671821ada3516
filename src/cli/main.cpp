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
#include "cli/progress_bar.hpp"
#include "io/elements_json.hpp"
#include "io/elements_text.hpp"
#include "io/result_json.hpp"
#include "io/result_text.hpp"
#include "jobs/element.hpp"
#include "jobs/elements.hpp"
#include "jobs/materials.hpp"
#include "jobs/sheet.hpp"
#include "jobs/solve.hpp"

namespace {

enum Exit { done = 0, refused = 1, stopped = 2, wrong_usage = 64, broken = 70, cancelled = 130 };

/// What the user asked for, as CLI11 fills it in.
struct Arguments {
  quern::SolveRequest solve{};
  quern::ElementRequest element{};
  std::vector<std::string> projects{};
  std::optional<std::string> verify{};
  std::string project{};
  std::optional<std::string> output{}, material{};
  bool json = false;
};

/// Why there are no figures; a calculation that the user cancelled needs no reason.
Exit stop(const std::string& what, const quern::Stop& stop) {
  if (quern::interrupted()) {
    fmt::print(stderr, "quern: cancelled\n");
    return cancelled;
  }
  const bool is_impossible = stop.kind == quern::Stop::Kind::impossible;
  fmt::print(stderr, "{}: {}: {}: {}\n    {}\n", what, is_impossible ? "impossible" : "not converged", stop.name,
             stop.place, stop.text);
  return stopped;
}

quern::SolveAnswer solve_project(const quern::SolveRequest& request) {
  quern::ProgressBar bar;
  quern::Progress progress = bar.progress();
  return quern::solve_project(request, progress);
}

Exit solve(const Arguments& arguments) {
  const quern::SolveAnswer answer = solve_project(arguments.solve);
  const bool is_cancelled = !answer.state && quern::interrupted();
  if (arguments.json && !is_cancelled)
    fmt::print("{}\n", quern::result_json(answer.trial, answer.state, answer.structure));
  if (!answer.state) return stop(arguments.solve.project, answer.state.error());
  if (arguments.json) return done;
  fmt::print("{}\n", quern::result_text(answer.trial, *answer.state, answer.structure));
  if (arguments.solve.profile) fmt::print("profile: {}\n", *arguments.solve.profile);
  if (arguments.solve.report) fmt::print("report:  {}\n", *arguments.solve.report);
  return done;
}

quern::ElementAnswer show_elements(const quern::ElementRequest& request) {
  quern::ProgressBar bar;
  return quern::show_elements(request, quern::ElementStore(quern::element_store_folder()), bar.progress());
}

Exit element(const Arguments& arguments) {
  const quern::ElementAnswer answer = show_elements(arguments.element);
  if (!answer.elements) {
    if (arguments.json && !quern::interrupted())
      fmt::print("{}", quern::elements_stopped_json(answer.trial, answer.elements.error()));
    return stop(arguments.element.project, answer.elements.error());
  }
  if (arguments.json) {
    fmt::print("{}", quern::elements_json(answer.trial, *answer.elements));
    return done;
  }
  fmt::print("{}\n", arguments.element.number ? quern::element_text(answer.trial, answer.elements->front())
                                              : quern::elements_text(answer.trial, *answer.elements));
  if (arguments.element.svg) fmt::print("picture: {}\n", *arguments.element.svg);
  return done;
}

quern::Solved<std::vector<std::string>> write_or_verify(const Arguments& arguments) {
  quern::ProgressBar bar;
  return arguments.verify ? quern::verify_elements(*arguments.verify, bar.progress())
                          : quern::write_elements(arguments.projects, *arguments.output, bar.progress());
}

Exit elements(const Arguments& arguments) {
  const auto lines = write_or_verify(arguments);
  if (!lines) return stop(arguments.verify.value_or(arguments.output.value_or("elements")), lines.error());
  for (const std::string& line : *lines) fmt::print(arguments.verify ? stderr : stdout, "{}\n", line);
  if (arguments.verify && lines->empty()) fmt::print("{}: every element is as computed now\n", *arguments.verify);
  return arguments.verify && !lines->empty() ? refused : done;
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
      "Exit codes: 0 done, 1 the input is refused, 2 not converged or physically impossible, 64 wrong usage,\n"
      "130 cancelled with Ctrl-C.\n"
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

  CLI::App* element = app.add_subcommand("element", "What the elements of a screw do to a melt, and one of them drawn");
  element->add_option("PROJECT", arguments.element.project, "Project file, TOML")->required()->type_name("");
  element
      ->add_option("--number", arguments.element.number,
                   "The element at this place, from 1; each kind is listed without it")
      ->type_name("N");
  element->add_option("--svg", arguments.element.svg, "Write the picture of that element, SVG")
      ->type_name("F.svg")
      ->needs("--number");
  element->add_flag("--json", arguments.json, "Print for programs, SI units");

  CLI::App* elements = app.add_subcommand("elements", "Element files: solved afresh, or those of a folder verified");
  CLI::Option* projects = elements->add_option("PROJECT", arguments.projects, "Project files, TOML")->type_name("");
  CLI::Option* output =
      elements->add_option("--output", arguments.output, "Write one file for each shape of element into this folder")
          ->type_name("DIR")
          ->needs(projects);
  projects->needs(output);
  elements->add_option("--verify", arguments.verify, "Solve the files of this folder afresh and compare")
      ->type_name("DIR")
      ->excludes(projects)
      ->excludes(output);
  elements->require_option(1, 0);

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
  if (app.got_subcommand("element")) return element(arguments);
  if (app.got_subcommand("elements")) return elements(arguments);
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
  quern::listen_for_interrupt();
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
