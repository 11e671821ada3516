#include "io/build_sheet.hpp"

#include <cmath>
#include <fmt/format.h>
#include <map>

#include "io/cautions.hpp"
#include "io/line_picture.hpp"
#include "io/page.hpp"
#include "io/report_numbers.hpp"

namespace quern {
namespace {

using kainjow::mustache::data;

data list() { return data(data::type::list); }

/// Zones over an element, with a word on their port.
std::string under(const Trial& trial, const Placed& place) {
  std::string text;
  double at = 0;
  for (const Zone& zone : trial.machine.zones) {
    const bool over = place.to > at + 1e-6 && place.from < at + zone.length - 1e-6;
    at += zone.length;
    if (!over) continue;
    text += (text.empty() ? "" : ", ") + zone.name;
    if (zone.port == Port::feed) text += " (feed port)";
    if (zone.port == Port::vent && zone.name != "vent") text += " (vent)";
    if (zone.port == Port::side_feed) text += " (side feed)";
  }
  return text;
}

data pick_list(const Screw& screw) {
  std::vector<std::pair<std::string, int>> counts;  // in the order they first appear
  for (const Element& e : screw.elements) {
    const std::string what = describe(e);
    const auto known = std::find_if(counts.begin(), counts.end(), [&](const auto& c) { return c.first == what; });
    if (known == counts.end()) counts.emplace_back(what, 2);
    else known->second += 2;
  }
  data d = list();
  for (const auto& [what, pieces] : counts) {
    data row;
    row.set("pieces", std::to_string(pieces)), row.set("what", what);
    d.push_back(row);
  }
  return d;
}

data assembly_rows(const Trial& trial, const std::vector<Placed>& places) {
  const double D = trial.machine.section.screw_diameter;
  data d = list();
  for (std::size_t i = 0; i < places.size(); ++i) {
    data row;
    row.set("no", std::to_string(i + 1)), row.set("from", fmt::format("{:.1f}", places[i].from * 1e3)),
        row.set("to", fmt::format("{:.1f}", places[i].to * 1e3));
    row.set("from_D", fmt::format("{:.2f}", places[i].from / D)), row.set("what", describe(trial.screw.elements[i])),
        row.set("under", under(trial, places[i]));
    d.push_back(row);
  }
  return d;
}

data checks() {
  data d = list();
  for (const char* text :
       {"Drive locked out and proved dead as the site's procedure says.",
        "Elements clean, faces free of old polymer; no gap between neighbours that a feeler gauge would enter.",
        "Both shafts carry the same element at every place, with the same marks in line.",
        "Count on the shafts equals the pick list; nothing is left on the bench.",
        "Hand-turn the pair one full revolution: no touch, no scrape, the same resistance all round.",
        "Tip screws tightened to the torque that the machine's manual gives.",
        "End of the stack measured against the shaft: no gap, no overhang.",
        "A second person reads the stack back aloud from feed to tip against this sheet.",
        "Photograph from feed to tip, with the build number in the picture."})
    d.push_back(data(text));
  return d;
}

}  // namespace

std::string build_sheet_html(const Trial& trial) {
  const std::vector<Placed> places = placement(trial.screw);
  const double length = places.empty() ? 0 : places.back().to, off = length - trial.machine.shaft_length;
  data page;
  page.set("screw", trial.screw.name.empty() ? "without a name" : trial.screw.name),
      page.set("machine", trial.machine.name);
  page.set("title", trial.title.empty() ? "an untitled trial" : trial.title),
      page.set("count", std::to_string(places.size()));
  page.set("length", fmt::format("{:.1f} mm", length * 1e3)),
      page.set("shaft", fmt::format("{:.1f} mm", trial.machine.shaft_length * 1e3));
  page.set("closure", std::fabs(off) < 5e-5
                          ? "the length closes"
                          : fmt::format("{:.2f} mm {}", std::fabs(off) * 1e3, off > 0 ? "too long" : "too short"));
  page.set("picture", build_picture(trial)), page.set("picks", pick_list(trial.screw)),
      page.set("rows", assembly_rows(trial, places)), page.set("checks", checks());
  data warnings = list(), cautions = list();
  const std::vector<BuildWarning> found =
      build_warnings(trial.machine.section, trial.machine.zones, trial.screw, trial.machine.die.has_value());
  for (const BuildWarning& w : found) {
    data row;
    row.set("text",
            fmt::format("At {}: {}: {}.", place_text(w.position, trial.machine.section.screw_diameter), w.what, w.why));
    warnings.push_back(row);
  }
  for (const std::string& c : build_cautions())
    if (c != general_caution()) cautions.push_back(data(c));  // that one is the footer
  page.set("has_warnings", data(found.empty() ? data::type::bool_false : data::type::bool_true));
  page.set("warnings", warnings), page.set("cautions", cautions), page.set("footer", std::string(general_caution()));
  return render_page("sheet.html", std::move(page));
}

}  // namespace quern
