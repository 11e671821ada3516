#include "io/element_figures.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace quern {
namespace {

bool can_be_solved(const Element& e) {
  return !e.characteristics && (e.kind == ElementKind::conveying || e.kind == ElementKind::kneading);
}

ElementFigures figures_of(const Section& section, const Element& e, const ElementLibrary& library) {
  ElementFigures f{.element = e};
  if (can_be_solved(e) && flow_faults(section, e).empty()) {
    const auto [shape, mirrored] = shape_of(section, e);
    f.mirrored = mirrored;
    if (const ElementSolution* solution = library.find(shape)) f.solution = *solution;
  }
  f.flow = f.solution ? solved_element_flow(section, e, *f.solution) : element_flow(section, e);
  return f;
}

}  // namespace

std::vector<ElementFigures> element_figures(const Trial& trial, const ElementLibrary& library) {
  std::vector<ElementFigures> all;
  int number = 0;
  for (const Element& e : trial.screw.elements) {
    auto known = std::ranges::find(all, e, &ElementFigures::element);
    if (known == all.end()) known = all.insert(known, figures_of(trial.machine.section, e, library));
    known->numbers.push_back(++number);
  }
  return all;
}

double free_throughput(const ElementFigures& e, double D, double N) { return e.flow.line.A1 * N * D * D * D; }

double closed_pressure(const ElementFigures& e, double D) {
  return e.flow.line.A1 / e.flow.line.B * Yardstick::viscosity * Yardstick::speed * e.element.length / D;
}

double free_power(const ElementFigures& e, double D) {
  constexpr double N = Yardstick::speed;
  return power_number(e) * Yardstick::viscosity * N * N * D * D * e.element.length;
}

double power_number(const ElementFigures& e) { return e.flow.line.P0 - e.flow.line.P1 * e.flow.line.A1; }

std::optional<PowerShares> power_shares(const ElementFigures& e) {
  if (!e.solution) return std::nullopt;
  const ElementSolution& s = *e.solution;
  const double all = s.line.P0 - s.line.P1 * s.line.A1;
  PowerShares shares{.tips = s.tip_power / all, .nip = s.nip_power / all, .faces = s.face_power / all};
  shares.channel = 1 - shares.tips - shares.nip - shares.faces;
  return shares;
}

Characteristics as_built(const Characteristics& line, bool mirrored) {
  return mirrored ? Characteristics{-line.A1, line.B, line.P0, -line.P1} : line;
}

std::string places_text(const std::vector<int>& numbers) {
  std::string text;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t j = i;
    while (j + 1 < numbers.size() && numbers[j + 1] == numbers[j] + 1) ++j;
    text += fmt::format("{}{}", text.empty() ? "" : ", ", numbers[i]);
    if (j > i) text += fmt::format("-{}", numbers[j]);
    i = j + 1;
  }
  return text;
}

const char* name_of(FlowBasis basis) {
  return basis == FlowBasis::solved ? "solved" : basis == FlowBasis::given ? "given" : "estimated";
}

}  // namespace quern
