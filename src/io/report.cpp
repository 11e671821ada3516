#include "io/report.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "io/cautions.hpp"
#include "io/element_appendix.hpp"
#include "io/line_picture.hpp"
#include "io/page.hpp"
#include "io/report_numbers.hpp"
#include "io/result_text.hpp"
#include "io/structure_picture.hpp"
#include "io/structure_text.hpp"

namespace quern {
namespace {

using kainjow::mustache::data;

data list() { return data(data::type::list); }
data row(std::initializer_list<std::pair<const char*, std::string>> cells) {
  data d;
  for (const auto& [key, value] : cells) d.set(key, value);
  return d;
}
std::string kj(double e) { return significant(e / 1e3) + " kJ/kg"; }
/// Units as people write them on paper, and no line break between a number and its unit.
std::string on_paper(std::string text) {
  for (std::size_t at = 0; (at = text.find("degC", at)) != std::string::npos;) text.replace(at, 4, "°C");
  for (std::size_t at = 1; at < text.size(); ++at)
    if (text[at] == ' ' && text[at - 1] >= '0' && text[at - 1] <= '9') text.replace(at, 1, "\u00a0");
  return text;
}
std::string watts(double q) { return fmt::format("{:.0f} W", std::round(q) + 0.0); }

std::string feeds_text(const Trial& trial) {
  std::string text;
  for (const Feed& f : trial.feeds)
    text += (text.empty() ? "" : ", ") + show(f.rate, Kind::mass_flow, "kg/h") + " " + f.material.name +
            (f.form.empty() ? "" : " (" + f.form + ")");
  return text;
}

data figures(const Trial& trial, const LineState& s) {
  const Summary& m = s.summary;
  const auto spread = [&](auto member) {
    return s.spread ? fmt::format("± {}; ", percent(std::invoke(member, *s.spread))) : std::string();
  };
  data d = list();
  const auto add = [&](const char* name, std::string value, std::string more) {
    d.push_back(row({{"name", name}, {"value", std::move(value)}, {"more", std::move(more)}}));
  };
  add("mean residence time", significant(m.mean_residence_time) + " s",
      spread(&Spread::mean_residence_time) +
          fmt::format("solid {}, transition {}, melt {} s", significant(m.residence_by_section.solid),
                      significant(m.residence_by_section.transition), significant(m.residence_by_section.melt)));
  add("specific energy, at the shafts", kj(m.specific_energy),
      fmt::format("{} kWh/kg; ", significant(m.specific_energy / 3.6e6)) + spread(&Spread::specific_energy) +
          fmt::format("solid {}, transition {}, melt {}", significant(m.specific_energy_by_section.solid / 1e3),
                      significant(m.specific_energy_by_section.transition / 1e3),
                      significant(m.specific_energy_by_section.melt / 1e3)));
  add("torque, each shaft", significant(m.torque_per_shaft) + " N m",
      fmt::format("{} of the rating; shafts {} kW, motor {} kW", percent(m.torque_share),
                  significant(m.shaft_power / 1e3), significant(m.motor_power / 1e3)));
  add("outlet temperature", celsius(m.outlet_temperature) + " °C",
      (s.spread ? fmt::format("± {:.0f} K; ", s.spread->outlet_temperature_K) : "") + "highest " +
          celsius(m.highest_temperature) + " °C");
  add("throughput", show(m.throughput, Kind::mass_flow, "kg/h"),
      fmt::format("{} g a turn", significant(1e3 * m.throughput / m.screw_speed)));
  const std::string full = fmt::format("{} mm stand full of melt", significant(m.filled_length * 1e3));
  add("die pressure", trial.machine.die ? significant(m.die_pressure / 1e5) + " bar" : "open end", full);
  add("mean fill", percent(m.mean_fill), "of the free volume");
  add("chiller", significant(m.chiller_duty / 1e3) + " kW",
      fmt::format("all cooling {}, heaters {}", watts(m.cooling_duty), watts(m.heater_duty)));
  return d;
}

/// The share is said only of what must not be exceeded: of a least distance it would read as several hundred per cent.
std::string margin_text(const Limit& l) {
  const double share = margin_share(l);
  const bool is_ceiling = std::fabs(l.limit - l.value - l.margin) <= 1e-9 * std::fabs(l.limit);
  return limit_margin(l) +
         (std::isfinite(share) && is_ceiling && l.kind != Kind::ratio ? " (" + percent(share) + ")" : "");
}

data limit_rows(const Trial& trial, const LineState& s) {
  data d = list();
  for (const Limit& l : s.limits) {
    const char* state = l.state == Limit::State::over ? "over" : l.state == Limit::State::near ? "near" : "within";
    d.push_back(row({{"name", l.name},
                     {"value", limit_value(l)},
                     {"limit", limit_limit(l)},
                     {"margin", margin_text(l)},
                     {"state", state},
                     {"text", on_paper(l.text)},
                     {"place", l.place ? ", at " + place_text(*l.place, trial.machine.section.screw_diameter) : ""}}));
  }
  return d;
}

/// Length of a bar in a table cell, per cent of the cell; empty when nothing can be drawn.
std::string bar(double share) {
  return std::isfinite(share) ? fmt::format("{:.1f}", 100 * std::clamp(share, 0.0, 1.0)) : "0";
}

data energy_rows(const Summary& m) {
  data d = list();
  const auto add = [&](const char* name, double e) {
    const double share = m.specific_energy > 0 ? e / m.specific_energy : 0;
    d.push_back(row({{"name", name}, {"value", kj(e)}, {"share", percent(share)}, {"bar", bar(share)}}));
  };
  add("solid friction", m.specific_energy_by_mechanism.solid_friction),
      add("melting", m.specific_energy_by_mechanism.melting);
  add("melt shear", m.specific_energy_by_mechanism.melt_shear),
      add("pressure", m.specific_energy_by_mechanism.pressure), add("all", m.specific_energy);
  return d;
}

data heat_rows(const HeatBalance& h) {
  data d = list();
  const double in = std::max(h.shaft_power + h.heaters, 1e-9);
  const auto add = [&](const char* name, double q) {
    d.push_back(row({{"name", name}, {"value", watts(q)}, {"bar", bar(std::fabs(q) / in)}}));
  };
  add("from the shafts", h.shaft_power), add("from heaters", h.heaters), add("to water and air", -h.cooling),
      add("to the chiller", -h.chiller), add("into the stock", h.enthalpy_rise), add("remainder", h.remainder);
  return d;
}

data zone_rows(const LineState& s) {
  data d = list();
  for (const ZoneState& z : s.zones)
    d.push_back(row({{"name", z.name},
                     {"set", celsius(z.set_temperature) + " °C"},
                     {"heat", watts(z.heat_from_barrel)},
                     {"energy", kj(z.specific_energy)}}));
  return d;
}

data element_rows(const Trial& trial, const LineState& s) {
  data d = list();
  for (std::size_t i = 0; i < s.elements.size(); ++i) {
    const ElementState& e = s.elements[i];
    d.push_back(row({{"no", std::to_string(i + 1)},
                     {"from", fmt::format("{:.0f}", e.from * 1e3)},
                     {"what", describe(trial.screw.elements[i])},
                     {"fill", percent(e.mean_fill)},
                     {"full", e.filled_length > 5e-4 ? fmt::format("{:.0f}", e.filled_length * 1e3) : "-"},
                     {"time", significant(e.residence_time, 2)},
                     {"energy", significant(e.specific_energy / 1e3, 2)},
                     {"temperature", celsius(e.temperature_out)},
                     {"pressure", e.pressure_max > 1e4 ? significant(e.pressure_max / 1e5, 2) : "-"},
                     {"molten", e.melt_fraction_out < 5e-4 ? "-" : percent(e.melt_fraction_out)}}));
  }
  return d;
}

/// In the closure's unit for people.
std::string closure_value(const Trust& t) {
  for (const ClosureInfo& c : closure_list())
    if (c.name == t.closure) return figure(t.value, c.kind, c.unit) + (c.unit == "1" ? "" : " " + std::string(c.unit));
  return significant(t.value) + " " + t.unit;
}

data trust_rows(const LineState& s) {
  data d = list();
  for (const Trust& t : s.trust)
    d.push_back(row({{"name", t.closure},
                     {"value", closure_value(t)},
                     {"sigma", t.relative_uncertainty > 0 ? percent(t.relative_uncertainty) : "-"},
                     {"basis", (t.calibrated ? "calibrated: " : "") + t.basis}}));
  return d;
}

/// The numbers of one material, gathered by where they came from: fields in the order of the first.
data source_rows(const Material& material) {
  std::vector<std::pair<std::string, std::string>> by_source;
  for (const Provenance& p : material.provenance) {
    const std::string number = p.field + " " + p.value;
    const auto known = std::ranges::find(by_source, p.source, &std::pair<std::string, std::string>::first);
    if (known == by_source.end()) by_source.emplace_back(p.source, number);
    else known->second += "; " + number;
  }
  data d = list();
  for (const auto& [source, numbers] : by_source) d.push_back(row({{"source", source}, {"numbers", numbers}}));
  return d;
}

data material_rows(const Trial& trial) {
  data d = list();
  std::vector<std::string> seen;
  for (const Feed& f : trial.feeds) {
    if (std::ranges::find(seen, f.material.name) != seen.end()) continue;
    seen.push_back(f.material.name);
    data material = row({{"material", f.material.name}});
    material.set("sources", source_rows(f.material));
    d.push_back(material);
  }
  return d;
}

std::string spread_text(const LineState& s) {
  if (!s.spread) return "Spread of the results was not asked for.";
  return fmt::format(
      "Closures below, and throughput, pressure and power of the computed elements, moved one at a time by their "
      "uncertainty: specific energy ± {}, residence time ± {}, outlet temperature ± {:.0f} K (one sigma). "
      "Uncertainty of material data is not in these figures.",
      percent(s.spread->specific_energy), percent(s.spread->mean_residence_time), s.spread->outlet_temperature_K);
}

data structure_rows(const Structure& s) {
  data d = list();
  for (const StructureModel& m : s.models) {
    std::string figures, notes;
    for (const StructureFigure& f : m.figures) {
      if (!f.end) continue;
      figures +=
          (figures.empty() ? "" : "; ") + fmt::format("{} {} ({} to {})", f.title, structure_value(f, f.end->mean),
                                                      structure_value(f, f.end->p5), structure_value(f, f.end->p95));
      if (f.blended) figures += fmt::format(", all together {}", structure_value(f, *f.blended));
    }
    for (const std::string& note : m.notes) notes += " " + note;
    d.push_back(row({{"name", std::string(m.title)},
                     {"of", m.of},
                     {"figures", on_paper(figures)},
                     {"basis", m.basis() + "." + on_paper(notes)}}));
  }
  return d;
}

data left_out_rows(const Structure& s) {
  data d = list();
  for (const LeftOut& l : s.left_out) d.push_back(row({{"text", fmt::format("{}: {}", l.model, l.why)}}));
  return d;
}

void add_structure(data& page, const Trial& trial, const std::optional<Structure>& s) {
  page.set("has_structure", data(s ? data::type::bool_true : data::type::bool_false));
  if (!s) return;
  const EnsembleTreatment& t = s->treatment;
  page.set("treatment", treatment_words(*s) + "."), page.set("cloud", treatment_chart(*s));
  page.set("tracks", structure_tracks(trial, *s)), page.set("structure", structure_rows(*s)),
      page.set("left_out", left_out_rows(*s));
  page.set("parcels", fmt::format("{} parcels, seed {}", s->parcels, s->seed));
  data spread = list();
  const auto add = [&](const char* name, const Statistics& v, double unit) {
    spread.push_back(row({{"name", name},
                          {"mean", significant(v.mean / unit)},
                          {"p5", significant(v.p5 / unit)},
                          {"p50", significant(v.p50 / unit)},
                          {"p95", significant(v.p95 / unit)}}));
  };
  add("time in the machine, s", t.time, 1), add("energy, kJ/kg", t.energy, 1e3);
  page.set("treatment_rows", spread);
}

}  // namespace

std::string report_html(const Trial& trial, const LineState& s, const std::optional<Structure>& structure) {
  data page;
  page.set("title", trial.title.empty() ? "Untitled trial" : trial.title);
  page.set("machine", trial.machine.name), page.set("screw", trial.screw.name), page.set("feeds", feeds_text(trial));
  page.set("speed", show(s.summary.screw_speed, Kind::screw_speed, "rpm")), page.set("verdict", on_paper(verdict(s)));
  page.set("figures", figures(trial, s)), page.set("picture", line_picture(trial, s)),
      page.set("residence", residence_chart(s));
  page.set("mixing",
           fmt::format(
               "one stirred tank for each {} D of screw, {} of every element's time as plug flow; what stands full as "
               "tracked in its element",
               significant(trial.closures[Closure::mixing_length]), percent(trial.closures[Closure::plug_share])));
  page.set("limits", limit_rows(trial, s)), page.set("energies", energy_rows(s.summary)),
      page.set("heat", heat_rows(s.heat));
  page.set("energy_balance", fmt::format("{:.0e}", std::fabs(s.energy_balance))),
      page.set("mass_balance", fmt::format("{:.0e}", std::fabs(s.mass_balance)));
  page.set("zones", zone_rows(s)), page.set("elements", element_rows(trial, s)), page.set("trust", trust_rows(s)),
      page.set("materials", material_rows(trial));
  page.set("spread", spread_text(s));
  data warnings = list(), cautions = list();
  for (const BuildWarning& w : s.build_warnings)
    warnings.push_back(
        row({{"text", fmt::format("At {}: {}: {}.", place_text(w.position, trial.machine.section.screw_diameter),
                                  w.what, w.why)}}));
  for (const std::string& c : s.cautions)
    if (c != general_caution()) cautions.push_back(data(c));  // that one is the footer
  page.set("has_warnings", data(s.build_warnings.empty() ? data::type::bool_false : data::type::bool_true));
  page.set("warnings", warnings), page.set("cautions", cautions);
  add_element_appendix(page, trial, s);
  add_structure(page, trial, structure);
  page.set("footer", std::string(general_caution())), page.set("version", QUERN_VERSION),
      page.set("input", trial.input_id);
  return render_page("report.html", std::move(page));
}

}  // namespace quern
