#include "io/structure_text.hpp"

#include <cmath>
#include <fmt/format.h>

#include "io/report_numbers.hpp"

namespace quern {
namespace {

std::string row(std::string_view name, const std::string& value) { return fmt::format("  {:<22}{}\n", name, value); }

std::string short_name(std::string_view model) {
  return model == "particle_size" ? "size of solids"
         : model == "chains"      ? "molar mass"
         : model == "blend"       ? "drops"
         : model == "volatile"    ? "volatile left"
         : model == "filler"      ? "agglomerates"
         : model == "platelets"   ? "platelets"
         : model == "heat"        ? "heat dose"
                                  : std::string(model);
}

/// The first figure that exists at the end: of particles that all melted, the size they melted with.
const StructureFigure* main_figure(const StructureModel& m) {
  for (const StructureFigure& f : m.figures)
    if (f.end) return &f;
  return nullptr;
}

std::string model_rows(const Structure& s, bool calibrated) {
  std::string out;
  for (const StructureModel& m : s.models) {
    if (m.calibrated() != calibrated) continue;
    const StructureFigure* f = main_figure(m);
    if (f == nullptr) continue;
    const std::string inlet = f->inlet.value_or(0) > 0 ? "fed " + structure_value(*f, *f->inlet) + ", " : std::string();
    out += row(short_name(m.name), fmt::format("{}mean {}; P5 {}, P95 {}{}", inlet, structure_value(*f, f->end->mean),
                                               structure_value(*f, f->end->p5), structure_value(*f, f->end->p95),
                                               f->name == "melted_size" ? ", as melted" : ""));
  }
  return out;
}

}  // namespace

std::string structure_value(const StructureFigure& f, double si) {
  if (!std::isfinite(si)) return "-";
  const double value = si / f.one;
  const std::string number = std::fabs(value) >= 1e6 ? fmt::format("{:.3g}", value) : significant(value);
  return f.unit == "1" ? number : number + " " + std::string(f.unit);
}

std::string treatment_words(const Structure& s) {
  const EnsembleTreatment& t = s.treatment;
  std::string words = fmt::format("{:.1f} % of the stock get less than half the mean energy", 100 * t.undertreated);
  if (t.correlation) words += fmt::format("; energy goes with time, r = {:.2f}", *t.correlation);
  return words;
}

std::string structure_text(const Structure& s) {
  const EnsembleTreatment& t = s.treatment;
  const auto kj = [](double e) { return significant(e / 1e3); };
  std::string out = fmt::format("\nStructure ({} parcels)\n  {}\n", s.parcels, treatment_words(s));
  out += row("energy", fmt::format("P5 {}, P50 {}, P95 {} kJ/kg", kj(t.energy.p5), kj(t.energy.p50), kj(t.energy.p95)));
  out += row("time", fmt::format("P5 {}, P50 {}, P95 {} s", significant(t.time.p5), significant(t.time.p50),
                                 significant(t.time.p95)));
  out += model_rows(s, true);
  if (const std::string relative = model_rows(s, false); !relative.empty())
    out += "  Only to hold against another trial (constants not calibrated)\n" + relative;
  return out;
}

}  // namespace quern
