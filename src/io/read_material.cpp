#include "io/read_material.hpp"

#include <cmath>
#include <fmt/format.h>
#include <map>

#include "base/quote.hpp"

namespace quern {
namespace {

constexpr Range temperature_range{173.15, 1273.15, false};

/// Where each number of a table came from: its own [source] table by field path or prefix of one.
class Sources {
 public:
  Sources(TableReader& table, std::string otherwise) : otherwise_(std::move(otherwise)) {
    auto list = table.table("source");
    if (!list) return;
    for (const std::string& field : list->names()) named_[field] = list->text(field).value_or("");
  }
  /// The longest of "viscosity.shift.E", "viscosity.shift", "viscosity" that the table names.
  std::string of(std::string_view field) const {
    for (;;) {
      if (const auto found = named_.find(field); found != named_.end()) return found->second;
      const auto dot = field.rfind('.');
      if (dot == std::string_view::npos) return otherwise_;
      field = field.substr(0, dot);
    }
  }

 private:
  std::map<std::string, std::string, std::less<>> named_{};
  std::string otherwise_;
};

Viscosity with_shift(Viscosity eta, TableReader& table) {
  auto shift = table.table("shift");
  if (!shift) return eta;
  switch (shift->choice("law", {"arrhenius", "wlf", "exponential"}).value_or(-1)) {
    case 0: {
      const double E = shift->required("E", Kind::molar_energy, {0, 5e5}, 4e4),
                   T = shift->required("T_ref", Kind::temperature, temperature_range, 473.15);
      eta = with_arrhenius(eta, E, T);
      break;
    }
    case 1: {
      const double C1 = shift->required("C1", Kind::ratio, {0, 1e3}, 8.86),
                   C2 = shift->required("C2", Kind::temperature_difference, {1, 1e4}, 101.6);
      eta = with_wlf(eta, C1, C2, shift->required("T_ref", Kind::temperature, {1, 1273.15}, 473.15));
      break;
    }
    case 2: {
      const double b = shift->required("b", Kind::per_temperature, {-1, 1}, 0.004);
      eta = with_exponential(eta, b, shift->required("T_ref", Kind::temperature, temperature_range, 473.15));
      break;
    }
    default:
      if (!shift->has("law")) shift->fault("law", "missing", "law = \"arrhenius\", \"wlf\" or \"exponential\"");
      return eta;  // its other fields cannot be judged
  }
  shift->finish();
  return eta;
}

Viscosity read_viscosity(TableReader& t) {
  // no melt lies outside these; within them no law overflows
  const Range index{0.01, 1}, level{1e-5, 1e12}, stress{1, 1e9};
  Viscosity eta;
  const auto model = t.choice("model", {"newtonian", "power law", "cross", "carreau-yasuda", "cross-wlf"});
  if (!model) {
    if (!t.has("model"))
      t.fault("model", "missing",
              "model = \"newtonian\", \"power law\", \"cross\", \"carreau-yasuda\" or \"cross-wlf\"");
    return eta;
  }
  switch (*model) {
    case 0:
      eta = newtonian(t.required("eta", Kind::viscosity, level, 1000));
      break;
    case 1: {
      const double at = t.required("eta", Kind::viscosity, level, 1000),
                   rate = t.required("rate", Kind::rate, {1e-6, 1e9}, 1);
      eta = power_law(at, rate, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 2: {
      const double eta0 = t.required("eta0", Kind::viscosity, level, 1000),
                   tau = t.required("tau_star", Kind::pressure, stress, 2e4);
      eta = cross(eta0, tau, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 3: {
      const double eta0 = t.required("eta0", Kind::viscosity, level, 1000),
                   inf = t.quantity("eta_inf", Kind::viscosity, {0, 1e12}).value_or(0);
      if (inf >= eta0) t.fault("eta_inf", "not below eta0", "the viscosity at very high rates, 0 when not known");
      const double lambda = t.required("lambda", Kind::time, {1e-9, 1e6}, 1),
                   a = t.quantity("a", Kind::ratio, {0.05, 20}).value_or(2);
      eta = carreau_yasuda(eta0, inf, lambda, a, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 4: {
      const double tau = t.required("tau_star", Kind::pressure, stress, 2e4),
                   n = t.required("n", Kind::ratio, index, 0.5),
                   D1 = t.required("D1", Kind::viscosity, {1e-5, 1e25}, 1e3);
      const double D2 = t.required("D2", Kind::temperature, {1, 1273.15}, 400),
                   D3 = t.quantity("D3", Kind::temperature_per_pressure, {-1e-5, 1e-5}).value_or(0);
      const double A1 = t.required("A1", Kind::ratio, {1e-3, 1e7}, 20);
      eta = cross_wlf(tau, n, D1, D2, D3, A1, t.required("A2", Kind::temperature_difference, {1e-3, 1e9}, 51.6));
      break;
    }
    default:
      break;
  }
  if (*model == 4 && t.has("shift")) {
    t.fault("shift", "a shift of its own beside cross-wlf, which has one",
            "leave the shift out, or take model = \"cross\"");
    (void)t.table("shift");
  } else {
    eta = with_shift(eta, t);
  }
  eta.beta = t.quantity("pressure", Kind::per_pressure, {0, 1e-6}).value_or(0);
  t.finish();
  return eta;
}

Density read_density(TableReader& parent) {
  Density d;
  if (!parent.is_table("density")) {
    d.rho = parent.required("density", Kind::density, {10, 25000}, 1000);
    return d;
  }
  TableReader t = *parent.table("density");
  switch (t.choice("law", {"constant", "linear", "tait"}).value_or(-1)) {
    case 0:
      d.rho = t.required("rho", Kind::density, {10, 25000}, 1000);
      break;
    case 1:
      d.law = Density::Law::linear;
      d.rho = t.required("rho", Kind::density, {10, 25000}, 1000),
      d.slope = t.required("slope", Kind::density_slope, {-20, 20}, -0.5);
      d.T_ref = t.required("T_ref", Kind::temperature, temperature_range, 473.15);
      break;
    case 2:
      d.law = Density::Law::tait;
      d.b1 = t.required("b1", Kind::specific_volume, {1e-5, 0.1}, 1e-3),
      d.b2 = t.required("b2", Kind::specific_volume_slope, {-1e-4, 1e-4}, 0);
      d.b3 = t.required("b3", Kind::pressure, {1e6, 1e11}, 1e8),
      d.b4 = t.required("b4", Kind::per_temperature, {-1, 1}, 0);
      d.b5 = t.required("b5", Kind::temperature, temperature_range, 473.15),
      d.b6 = t.quantity("b6", Kind::specific_volume_curve, {-1e-6, 1e-6}).value_or(0);
      d.rho = density(d, d.b5);
      break;
    default:
      if (!t.has("law")) t.fault("law", "missing", "law = \"constant\", \"linear\" or \"tait\"");
      return d;
  }
  t.finish();
  return d;
}

void read_thermal(TableReader& t, Material& m) {
  const Range cp{100, 20000}, k{0.001, 500};
  Thermal& th = m.thermal;
  const auto both = t.quantity("heat_capacity", Kind::heat_capacity, cp);
  const auto solid = t.quantity("heat_capacity_solid", Kind::heat_capacity, cp),
             melt = t.quantity("heat_capacity_melt", Kind::heat_capacity, cp);
  if (!both && !t.has("heat_capacity") && !(t.has("heat_capacity_solid") && t.has("heat_capacity_melt")))
    t.fault("heat_capacity", "missing",
            "heat_capacity = \"2000 J/kg/K\", or heat_capacity_solid and heat_capacity_melt");
  th.cp_solid = solid.value_or(both.value_or(2000)), th.cp_melt = melt.value_or(both.value_or(2000));
  th.conductivity = m.state == State::filler ? t.quantity("conductivity", Kind::conductivity, k).value_or(1.0)
                                             : t.required("conductivity", Kind::conductivity, k, 0.2);
  th.conductivity_solid = t.quantity("conductivity_solid", Kind::conductivity, k).value_or(th.conductivity);
  if (m.state != State::melting) {
    th.cp_solid = th.cp_melt, th.T_melt = 0;
    return;
  }
  th.T_melt = t.required("melting_temperature", Kind::temperature, {200, 800}, 440);
  th.width = t.quantity("melting_width", Kind::temperature_difference, {0.1, 60}).value_or(3);
  th.fusion = t.required("heat_of_fusion", Kind::specific_energy, {0, 2e6}, 1e5);
}

void read_solid(TableReader& parent, Material& m) {
  auto t = parent.table("solid");
  Solid& s = m.solid;
  if (!t) {
    if (m.state == State::liquid) return;
    parent.fault(
        "solid", "missing",
        fmt::format("a table [{}] with density, bulk_loose, ... (docs/guide/materials)", parent.field("solid")));
    return;
  }
  s.density = t->required("density", Kind::density, {10, 25000}, 900);
  s.bulk_loose = t->required("bulk_loose", Kind::density, {1, s.density}, 0.5 * s.density);
  s.bulk_compacted = t->quantity("bulk_compacted", Kind::density, {s.bulk_loose, s.density})
                         .value_or(std::max(s.bulk_loose, 0.65 * s.density));
  s.size = t->required("size", Kind::length, {1e-9, 0.1}, 3e-3);
  s.friction = t->quantity("friction", Kind::ratio, {0, 5}).value_or(0.3);
  if (m.state == State::melting) {
    s.yield = t->required("yield_stress", Kind::pressure, {0, 1e10}, 30e6);
    s.yield_T_ref = t->quantity("yield_reference_temperature", Kind::temperature, {100, 1000}).value_or(296.15);
    s.yield_T_zero = t->required("yield_zero_temperature", Kind::temperature, {100, 1000}, 430);
    s.yield_rate_ref = t->quantity("yield_reference_rate", Kind::rate, {1e-9, 1e9}).value_or(1e-3);
    s.yield_per_decade = t->quantity("yield_per_decade", Kind::ratio, {0, 1}).value_or(0.06);
    s.softening = t->required("softening_temperature", Kind::temperature, {150, 800}, 400);
    if (s.yield_T_zero < s.yield_T_ref + 1) {
      t->fault("yield_zero_temperature", "not above the reference temperature of the yield stress",
               "the temperature at which the yield stress has fallen to nothing");
      s.yield_T_zero = s.yield_T_ref + 100;
    }
  }
  t->finish();
}

/// A quantity as typed begins with its number; "polyamide 6" does not.
bool is_number(std::string_view text) {
  return !text.empty() && std::string_view("+-.0123456789").find(text.front()) != std::string_view::npos;
}

/// Every number of a table as written, with its source; sub-tables by their path.
void list_numbers(const toml::table& table, const std::string& path, const Sources& sources,
                  std::vector<Provenance>& out) {
  for (const auto& [key, node] : table) {
    const std::string field = path.empty() ? std::string(key.str()) : path + "." + std::string(key.str());
    if (field == "source") continue;
    if (const auto* t = node.as_table()) list_numbers(*t, field, sources, out);
    else if (const auto* text = node.as_string()) {
      if (is_number(text->get())) out.push_back({field, text->get(), sources.of(field)});
    } else if (node.is_number()) {
      const double value =
          node.is_integer() ? static_cast<double>(node.as_integer()->get()) : node.as_floating_point()->get();
      out.push_back({field, fmt::format("{:g}", value), sources.of(field)});
    }
  }
}

/// A law fitted to melt is not carried on into the solid, nor near the pole of its shift.
void set_floor(Material& m) {
  if (m.state != State::melting) return;
  Viscosity& v = m.viscosity;
  v.T_floor = std::max(v.T_floor, m.thermal.T_melt - 4 * m.thermal.width);
  if (v.T_vogel > 0) v.T_floor = std::max(v.T_floor, v.T_vogel + 5);
}

/// Temperatures at which a line may ask for a melt's laws.
struct Reach {
  double from, to;
};
Reach reach(const Material& m) {
  constexpr double highest = 773.15;  // of a set point
  const double from = m.state == State::melting ? m.thermal.T_melt - 4 * m.thermal.width : 250;
  return {std::min(from, highest), highest};
}

/// Each constant may be fine and the law still give nonsense somewhere that a line can go.
void check_laws(TableReader& t, const Material& m) {
  const auto is_within = [](double value, double low, double high) { return value >= low && value <= high; };
  const auto [from, to] = reach(m);
  for (double T = from; T <= to; T += std::max(1.0, (to - from) / 20)) {
    const double rho = density(m.density, T), rho_pressed = density(m.density, T, 1e8), rho_given = m.density.rho;
    if (!is_within(rho, 0.3 * rho_given, 1.8 * rho_given) || !is_within(rho_pressed, 0.3 * rho_given, 1.8 * rho_given))
      return t.fault("density",
                     fmt::format("its law leaves what a liquid can do: {} at {}", show(rho, Kind::density, "kg/m3"),
                                 show(T, Kind::temperature, "degC")),
                     fmt::format("constants that keep it within 0.3 to 1.8 of {} up to 500 degC",
                                 show(rho_given, Kind::density, "kg/m3")));
    if (m.state == State::filler) continue;
    for (const double rate : {1e-3, 1.0, 1e3, 1e6})
      if (const double eta = viscosity(m.viscosity, rate, T, 1e8); !is_within(eta, 1e-12, 1e30))
        return t.fault(
            "viscosity",
            fmt::format("its law gives {:.3g} Pa s at {} and {:g} 1/s", eta, show(T, Kind::temperature, "degC"), rate),
            "constants that give a viscosity from melting to 500 degC");
  }
}

}  // namespace

Material read_material(TableReader& t, const std::string& name, const std::string& default_source) {
  Material m;
  m.name = name;
  const Sources sources(t, default_source);
  m.family = t.text("family").value_or("own material");
  m.state = static_cast<State>(t.choice("state", {"melting", "liquid", "filler"}).value_or(0));
  m.hazard = static_cast<Hazard>(
      t.choice("hazard", {"none", "chlorinated", "fluorinated", "acetal", "flame retarded", "unknown"}).value_or(0));
  (void)t.text("note");
  m.density = read_density(t);
  read_thermal(t, m);
  read_solid(t, m);
  m.degradation_guide = t.quantity("degradation_guide", Kind::temperature, {250, 1000});
  m.max_packing = t.quantity("max_packing", Kind::ratio, {0.05, 0.95}).value_or(0.63);
  auto eta = t.table("viscosity");
  if (eta) m.viscosity = read_viscosity(*eta);
  else if (m.state != State::filler)
    t.fault("viscosity", "missing", fmt::format("a table [{}] with a model", t.field("viscosity")));
  set_floor(m);
  check_laws(t, m);
  list_numbers(t.raw(), "", sources, m.provenance);
  t.finish();
  return m;
}

std::vector<Material> read_materials(const std::string& text, const std::string& file,
                                     const std::string& default_source) {
  const toml::table root = parse_toml(text, file);
  FaultLog log;
  TableReader top(root, file, "", log);
  const std::string format = top.text("format").value_or("");
  if (format != "quern-material/1")
    top.fault("format", format.empty() ? "missing" : quote(format) + " is not a format this program reads",
              "format = \"quern-material/1\"; a newer version writes a higher number");
  std::vector<Material> list;
  if (auto tables = top.table("material"))
    for (const std::string& name : tables->names())
      if (auto t = tables->table(name)) list.push_back(read_material(*t, name, default_source));
  top.finish();
  log.throw_if_any();
  return list;
}

}  // namespace quern
