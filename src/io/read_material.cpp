#include "io/read_material.hpp"

#include <fmt/format.h>

namespace quern {
namespace {

constexpr Range temperature_range{173.15, 1273.15, false};

/// Where each number of a table came from: its own [source] table by field path or prefix of one.
class Sources {
 public:
  Sources(TableReader& table, std::string otherwise) : otherwise_(std::move(otherwise)) {
    auto list = table.table("source");
    if (!list) return;
    for (const std::string& field : list->names()) named_.emplace_back(field, list->text(field).value_or(""));
  }
  std::string of(const std::string& field) const {
    std::string best = otherwise_;
    std::size_t length = 0;
    for (const auto& [prefix, text] : named_) {
      const bool fits =
          field == prefix || (field.starts_with(prefix) && field.size() > prefix.size() && field[prefix.size()] == '.');
      if (fits && prefix.size() >= length) best = text, length = prefix.size();
    }
    return best;
  }

 private:
  std::vector<std::pair<std::string, std::string>> named_{};
  std::string otherwise_;
};

Viscosity with_shift(Viscosity eta, TableReader& table) {
  auto shift = table.table("shift");
  if (!shift) return eta;
  switch (shift->choice("law", {"arrhenius", "wlf", "exponential"}).value_or(-1)) {
    case 0: {
      const double E = shift->required("E", Kind::molar_energy, {0, 1e6}, 4e4),
                   T = shift->required("T_ref", Kind::temperature, temperature_range, 473.15);
      eta = with_arrhenius(eta, E, T);
      break;
    }
    case 1: {
      const double C1 = shift->required("C1", Kind::ratio, {0, 1e6}, 8.86),
                   C2 = shift->required("C2", Kind::temperature_difference, positive, 101.6);
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
  const Range index{0, 1, true};
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
      eta = newtonian(t.required("eta", Kind::viscosity, positive, 1000));
      break;
    case 1: {
      const double at = t.required("eta", Kind::viscosity, positive, 1000),
                   rate = t.required("rate", Kind::rate, positive, 1);
      eta = power_law(at, rate, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 2: {
      const double eta0 = t.required("eta0", Kind::viscosity, positive, 1000),
                   tau = t.required("tau_star", Kind::pressure, positive, 2e4);
      eta = cross(eta0, tau, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 3: {
      const double eta0 = t.required("eta0", Kind::viscosity, positive, 1000),
                   inf = t.quantity("eta_inf", Kind::viscosity, not_negative).value_or(0);
      const double lambda = t.required("lambda", Kind::time, positive, 1),
                   a = t.quantity("a", Kind::ratio, {0.05, 20}).value_or(2);
      eta = carreau_yasuda(eta0, inf, lambda, a, t.required("n", Kind::ratio, index, 0.5));
      break;
    }
    case 4: {
      const double tau = t.required("tau_star", Kind::pressure, positive, 2e4),
                   n = t.required("n", Kind::ratio, index, 0.5), D1 = t.required("D1", Kind::viscosity, positive, 1e3);
      const double D2 = t.required("D2", Kind::temperature, {1, 1273.15}, 400),
                   D3 = t.quantity("D3", Kind::temperature_per_pressure, {-1e-5, 1e-5}).value_or(0);
      const double A1 = t.required("A1", Kind::ratio, positive, 20);
      eta = cross_wlf(tau, n, D1, D2, D3, A1, t.required("A2", Kind::temperature_difference, positive, 51.6));
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
    s.yield_rate_ref = t->quantity("yield_reference_rate", Kind::rate, positive).value_or(1e-3);
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
    top.fault(
        "format",
        format.empty()
            ? "missing"
            : fmt::format("\"{}\" is not a format this program reads; a newer version may have written it", format),
        "format = \"quern-material/1\"");
  std::vector<Material> list;
  if (auto tables = top.table("material"))
    for (const std::string& name : tables->names())
      if (auto t = tables->table(name)) list.push_back(read_material(*t, name, default_source));
  top.finish();
  log.throw_if_any();
  return list;
}

}  // namespace quern
