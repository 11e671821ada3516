#include "io/element_file.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/error.hpp"
#include "io/embedded.hpp"
#include "io/input_id.hpp"

namespace quern {
namespace {

using nlohmann::ordered_json;

/// Tells damage and hand edits, not a forger.
std::string digest(std::string_view text) {
  InputId id;
  id.add(text);
  return id.str();
}

const char* name_of(ElementKind kind) { return kind == ElementKind::kneading ? "kneading" : "conveying"; }

/// Reads and writes go through one list of fields, so that neither can forget one.
template <class Visit>
void fields(ElementShape& s, const Visit& visit) {
  visit("starts", s.starts), visit("bore", s.bore), visit("centre", s.centre), visit("screw_gap", s.screw_gap),
      visit("wear", s.wear), visit("lead", s.lead), visit("discs", s.discs), visit("disc_width", s.disc_width),
      visit("stagger", s.stagger);
}
template <class Visit>
void fields(Characteristics& c, const Visit& visit) {
  visit("A1", c.A1), visit("B", c.B), visit("P0", c.P0), visit("P1", c.P1);
}
template <class Visit>
void fields(ElementUncertainty& u, const Visit& visit) {
  visit("A1", u.A1), visit("B", u.B), visit("power", u.power);
}
template <class Visit>
void fields(ShearRates& r, const Visit& visit) {
  visit("mean", r.mean), visit("p10", r.p10), visit("median", r.median), visit("p90", r.p90), visit("p99", r.p99);
}
template <class Visit>
void fields(ThinningFigures& t, const Visit& visit) {
  visit("index", t.index), visit("throughput", t.throughput), visit("rate_pressure", t.rate_pressure),
      visit("rate_consuming", t.rate_consuming), visit("rate_power", t.rate_power);
}
template <class Visit>
void fields(TrackedFigures& t, const Visit& visit) {
  visit("throughput", t.throughput), visit("length", t.length), visit("time", t.time), visit("time_gap", t.time_gap),
      visit("time_error", t.time_error), visit("time_5", t.time_5), visit("time_95", t.time_95),
      visit("mixing_length", t.mixing_length), visit("strain", t.strain), visit("tip_passes", t.tip_passes),
      visit("over_tip", t.over_tip);
}
template <class Visit>
void fields(ElementSolution& s, const Visit& visit) {
  visit("tip_power", s.tip_power), visit("nip_power", s.nip_power), visit("face_power", s.face_power),
      visit("balance", s.balance), visit("iterations", s.iterations), visit("direct", s.direct),
      visit("in_range", s.in_range);
}

template <class T>
ordered_json object(T value) {
  ordered_json json;
  fields(value, [&](const char* name, const auto& x) { json[name] = x; });
  return json;
}

template <class T>
T value(const ordered_json& json) {
  T value{};
  fields(value, [&](const char* name, auto& x) { json.at(name).get_to(x); });
  return value;
}

ordered_json body(const ElementSolution& s) {
  ordered_json json = object(s);
  json["method"] = element_method;
  json["kind"] = name_of(s.shape.kind);
  json["shape"] = object(s.shape), json["line"] = object(s.line);
  if (s.block) json["block"] = object(*s.block);
  json["numerical"] = object(s.numerical), json["model"] = object(s.model), json["rates"] = object(s.rates);
  json["tracked"] = object(s.tracked);
  json["thinning"] = ordered_json::array();
  for (const ThinningFigures& t : s.thinning) json["thinning"].push_back(object(t));
  return json;
}

ElementSolution solution_of(const ordered_json& json) {
  ElementSolution s = value<ElementSolution>(json);
  s.shape = value<ElementShape>(json.at("shape"));
  s.shape.kind = json.at("kind") == "kneading" ? ElementKind::kneading : ElementKind::conveying;
  s.line = value<Characteristics>(json.at("line"));
  if (json.contains("block")) s.block = value<Characteristics>(json.at("block"));
  s.numerical = value<ElementUncertainty>(json.at("numerical")), s.model = value<ElementUncertainty>(json.at("model"));
  s.rates = value<ShearRates>(json.at("rates"));
  s.tracked = value<TrackedFigures>(json.at("tracked"));
  for (const ordered_json& t : json.at("thinning")) s.thinning.push_back(value<ThinningFigures>(t));
  return s;
}

bool finite(const ElementSolution& s) {
  bool all = true;
  const auto check = [&](const char*, const auto& x) { all &= std::isfinite(static_cast<double>(x)); };
  const auto visit = [&](auto part) { fields(part, check); };
  visit(s), visit(s.shape), visit(s.line), visit(s.block.value_or(s.line)), visit(s.numerical), visit(s.model);
  visit(s.rates), visit(s.tracked);
  for (const ThinningFigures& t : s.thinning) visit(t);
  return all;
}

bool plausible(const Characteristics& c) {
  return c.B > 0 && c.A1 >= 0 && c.P0 > 0 && std::abs(c.P1 * c.B - c.A1) <= 1e-9 * (c.A1 + c.B) &&
         c.P0 - c.P1 * c.A1 > 0;
}

bool plausible(const ThinningFigures& t) {
  return t.index > 0 && t.index <= 1 && t.throughput > 0 && t.throughput < 1.5 && t.rate_pressure > 0 &&
         t.rate_consuming > 0 && t.rate_power > 0;
}

std::string fault_of(const ElementSolution& s) {
  if (!finite(s)) return "a figure is not finite";
  if (!plausible(s.line) || (s.block && !plausible(*s.block))) return "its characteristics are no element's";
  const auto falling = [](const ThinningFigures& a, const ThinningFigures& b) { return a.index <= b.index; };
  if (s.thinning.empty() || s.thinning.front().index != 1 ||
      !std::ranges::all_of(s.thinning, [](const auto& t) { return plausible(t); }) ||
      std::ranges::adjacent_find(s.thinning, falling) != s.thinning.end())
    return "its thinning figures are no element's";
  if (!(s.tracked.mixing_length > 0 && s.tracked.time > 0)) return "its residence times are no element's";
  if (s.balance > 1e-6) return "its balances do not close";
  try {
    s.shape.profile();
  } catch (const InputError&) {
    return "no screw has its shape";
  }
  return "";
}

}  // namespace

std::string element_text(const ElementSolution& solution) {
  ordered_json json = body(solution);
  json["digest"] = digest(json.dump());
  return json.dump(1) + "\n";
}

namespace {

/// Without what lies deeper than anything in such a file: writing it out for its digest would take stack without end.
ordered_json parsed(std::string_view text) {
  constexpr int deepest = 4;
  return ordered_json::parse(
      text, [](int depth, ordered_json::parse_event_t, const ordered_json&) { return depth <= deepest; });
}

}  // namespace

ElementReading read_element(std::string_view text) {
  try {
    ordered_json json = parsed(text);
    const std::string stated = json.at("digest");
    json.erase("digest");
    if (json.at("method") != element_method) return {{}, "it was computed by another version of the method"};
    if (digest(json.dump()) != stated) return {{}, "its digest does not fit: it is damaged or was changed by hand"};
    ElementSolution solution = solution_of(json);
    std::string wrong = fault_of(solution);
    if (!wrong.empty()) return {{}, std::move(wrong)};
    return {std::move(solution), {}};
  } catch (const nlohmann::json::exception&) {
    return {{}, "it is no element file"};
  }
}

std::string element_file_name(const ElementShape& shape) {
  ordered_json json = object(shape);
  json["method"] = element_method;
  return fmt::format("{}-{}.json", name_of(shape.kind), digest(json.dump()).substr(0, 18));
}

const ElementLibrary& shipped_elements() {
  static const ElementLibrary library = [] {
    ElementLibrary all;
    for (const EmbeddedFile& file : embedded_elements())
      if (ElementReading reading = read_element(file.text); reading.solution) all.insert(std::move(*reading.solution));
    return all;
  }();
  return library;
}

}  // namespace quern
