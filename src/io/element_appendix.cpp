#include "io/element_appendix.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <utility>
#include <vector>

#include "base/quantity.hpp"
#include "io/element_picture.hpp"
#include "io/report_numbers.hpp"

namespace quern {
namespace {

using kainjow::mustache::data;

constexpr std::size_t most_pictures = 8, most_bytes = 240'000;

data row_of(const Trial& trial, const ElementFigures& e) {
  const double D = trial.machine.section.screw_diameter, N = trial.screw_speed;
  const auto shares = power_shares(e);
  const auto share = [&](double PowerShares::* part) {
    return shares ? fmt::format("{:.0f}", 100 * (*shares).*part) : "-";
  };
  const auto rate = [&](double ShearRates::* part) {
    return e.solution ? significant(N * e.solution->rates.*part) : "-";
  };
  const double sigma = e.flow.uncertainty.A1;
  data d;
  d.set("no", places_text(e.numbers)), d.set("what", describe(e.element));
  d.set("throughput", significant(3.6e6 * free_throughput(e, D, N))),
      d.set("sigma", sigma > 0 && e.flow.line.A1 != 0 ? percent(sigma) : "-");
  d.set("pressure", significant(closed_pressure(e, D) / 1e5, 2)), d.set("power", significant(free_power(e, D)));
  d.set("tips", share(&PowerShares::tips)), d.set("channel", share(&PowerShares::channel));
  d.set("nip", share(&PowerShares::nip)), d.set("faces", share(&PowerShares::faces));
  d.set("mean", rate(&ShearRates::mean)), d.set("p99", rate(&ShearRates::p99));
  d.set("basis", std::string(name_of(e.flow.basis)) + (e.flow.in_range ? "" : ", out of range"));
  return d;
}

/// Elements that one picture shows: they differ in length at most.
using Alike = std::vector<const ElementFigures*>;

std::vector<Alike> kinds(const std::vector<ElementFigures>& all) {
  std::vector<Alike> kinds;
  for (const ElementFigures& e : all) {
    if (!e.solution) continue;
    const auto known = std::ranges::find_if(kinds, [&](const Alike& kind) {
      return kind.front()->solution->shape == e.solution->shape && kind.front()->mirrored == e.mirrored;
    });
    if (known == kinds.end()) kinds.push_back({&e});
    else known->push_back(&e);
  }
  return kinds;
}

/// Energy that all elements of a kind put into a kilogram, here.
double energy(const LineState& s, const Alike& kind) {
  double sum = 0;
  for (const ElementFigures* e : kind)
    for (const int n : e->numbers)
      if (const auto i = static_cast<std::size_t>(n - 1); i < s.elements.size()) sum += s.elements[i].specific_energy;
  return sum;
}

struct Picture {
  const ElementFigures* first;
  std::string name, svg;
};

Picture picture_of(const Trial& trial, const Alike& kind) {
  Picture picture{kind.front(), {}, element_thumbnail(*kind.front(), trial.machine.section)};
  for (const ElementFigures* e : kind)
    picture.name += (picture.name.empty() ? "" : "; ") + places_text(e->numbers) + ": " + describe(e->element);
  return picture;
}

/// Those with most energy, as many as a report should carry, in the order of the screw.
std::vector<Picture> pictures_of(const Trial& trial, std::vector<Alike> kinds, const LineState& s) {
  std::ranges::stable_sort(kinds, [&](const Alike& a, const Alike& b) { return energy(s, a) > energy(s, b); });
  std::vector<Picture> pictures;
  std::size_t bytes = 0;
  for (const Alike& kind : kinds) {
    Picture next = picture_of(trial, kind);
    bytes += next.svg.size();
    if (pictures.size() == most_pictures || bytes > most_bytes) break;
    pictures.push_back(std::move(next));
  }
  std::ranges::sort(pictures, {}, &Picture::first);
  return pictures;
}

}  // namespace

void add_element_appendix(data& page, const Trial& trial, const LineState& s) {
  page.set("has_appendix", data(trial.elements ? data::type::bool_true : data::type::bool_false));
  if (!trial.elements) return;
  const std::vector<ElementFigures> all = element_figures(trial, *trial.elements);
  data rows(data::type::list), list(data::type::list);
  for (const ElementFigures& e : all) rows.push_back(row_of(trial, e));
  const std::vector<Alike> alike = kinds(all);
  const std::vector<Picture> pictures = pictures_of(trial, alike, s);
  for (const Picture& picture : pictures) {
    data d;
    d.set("name", picture.name), d.set("picture", picture.svg);
    list.push_back(d);
  }
  page.set("appendix", rows), page.set("pictures", list), page.set("yardstick", Yardstick::words);
  page.set("pictures_words",
           pictures.size() < alike.size() ? "Pictures: the kinds that put most energy into the stock here. " : "");
}

}  // namespace quern
