#include "jobs/element.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <utility>

#include "io/atomic_file.hpp"
#include "io/element_picture.hpp"
#include "io/read_trial.hpp"
#include "jobs/elements.hpp"
#include "jobs/outputs.hpp"

namespace quern {
namespace {

void check(const ElementRequest& request, const Trial& trial) {
  const auto count = static_cast<int>(trial.screw.elements.size());
  if (request.number && (*request.number < 1 || *request.number > count))
    throw InputError({{.field = "--number",
                       .wrong = fmt::format("no element {}: the screw has {}", *request.number, count),
                       .right = fmt::format("1 to {}, counted from the feed", count)}});
  if (request.svg && !request.number)
    throw InputError({{.field = "--svg",
                       .wrong = "a picture shows one element, and none was named",
                       .right = "--number, for example --number 1"}});
}

/// The trial with nothing but the wanted element on its shafts.
Trial only(Trial trial, int number) {
  trial.screw.elements = {trial.screw.elements[static_cast<std::size_t>(number - 1)]};
  return trial;
}

std::vector<ElementFigures> wanted(std::vector<ElementFigures> all, std::optional<int> number) {
  if (number)
    std::erase_if(all,
                  [&](const ElementFigures& e) { return std::ranges::find(e.numbers, *number) == e.numbers.end(); });
  return all;
}

}  // namespace

ElementAnswer show_elements(const ElementRequest& request, const ElementStore& store, const Progress& progress) {
  if (request.svg) refuse_overwriting(request.project, std::array{Output{"picture", *request.svg}});
  Trial trial = read_trial(request.project);
  check(request, trial);
  std::vector<ElementShape> shapes;
  if (!trial.numerics.estimate_elements)
    shapes = shapes_to_solve(request.number ? only(trial, *request.number) : trial);
  const Solved<ElementLibrary> library = solve_elements(shapes, store, progress);
  if (!library) return {std::move(trial), tl::unexpected(library.error())};
  std::vector<ElementFigures> elements = wanted(element_figures(trial, *library), request.number);
  if (request.svg)
    write_file(*request.svg, element_picture_file(elements.front(), trial.machine.section, trial.screw_speed));
  return {std::move(trial), std::move(elements)};
}

}  // namespace quern
