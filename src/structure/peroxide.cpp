#include "structure/peroxide.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace quern {
namespace {

constexpr double gas = 8.31446261815324;  // J/(mol K)
constexpr double reference_T = 473.15, reference_mass = 100;

constexpr std::string_view suwanda =
    "Suwanda, Lew & Balke (1988), J. Appl. Polym. Sci. 35, 1019: 2,5-dimethyl-2,5-di(tert-butylperoxy)hexane, value "
    "from memory";

enum { k_peroxide, e_peroxide, f_peroxide };
constexpr Coefficient peroxide_list[] = {
    {"peroxide_rate", Kind::rate, 1.98e12, 0, 1e20, "1/s", 0.3, suwanda, "decay of the peroxide: k in k exp(-E/RT)",
     true},
    {"peroxide_activation", Kind::molar_energy, 14947 * gas, 0, 3e5, "kJ/mol", 0.01, suwanda,
     "decay of the peroxide: E in k exp(-E/RT)", true},
    {"peroxide_efficiency", Kind::ratio, 0.6, 0, 1, "1", 0.25,
     "Tzoganakis, Vlachopoulos & Hamielec (1988): 0.6 to 1, value from memory",
     "chain breaks of polypropylene per radical of the peroxide", true},
};

enum { k_oxygen, e_oxygen, k_heat, e_heat };
constexpr Coefficient heat_list[] = {
    {"oxidation_rate", Kind::rate, 3e-4, 0, 10, "1/s", 2.0,
     "uncalibrated: a tenth of Mw lost in a minute at 200 to 230 degC, resin without fresh stabilizer, common "
     "practice, no source",
     "breaks of a chain of 100 kg/mol by heat and air at 200 degC; 0 under nitrogen", false},
    {"oxidation_activation", Kind::molar_energy, 1e5, 0, 4e5, "kJ/mol", 0.3,
     "uncalibrated: 80 to 120 kJ/mol for oxidation of polyolefin melts, value from memory",
     "how breaking by heat and air rises with temperature", false},
    {"thermal_scission_rate", Kind::rate, 1e-6, 0, 10, "1/s", 2.0,
     "uncalibrated: polypropylene breaks within minutes at 300 degC, value from memory",
     "breaks of a chain of 100 kg/mol by heat alone at 200 degC", false},
    {"thermal_scission_activation", Kind::molar_energy, 2e5, 0, 4e5, "kJ/mol", 0.2,
     "uncalibrated: 180 to 250 kJ/mol for pyrolysis of polypropylene, value from memory",
     "how breaking by heat alone rises with temperature", false},
};

double arrhenius(double k, double E, double T) { return k * std::exp(-E / gas * (1 / T - 1 / reference_T)); }

}  // namespace

std::span<const Coefficient> peroxide_coefficients() { return peroxide_list; }
std::span<const Coefficient> heat_scission_coefficients() { return heat_list; }

Peroxide peroxide(const Coefficients& fixed) {
  return {fixed(peroxide_list[k_peroxide]), fixed(peroxide_list[e_peroxide]), fixed(peroxide_list[f_peroxide])};
}

HeatScission heat_scission(const Coefficients& fixed) {
  return {fixed(heat_list[k_oxygen]), fixed(heat_list[e_oxygen]), fixed(heat_list[k_heat]), fixed(heat_list[e_heat])};
}

double decay_rate(const Peroxide& p, double T) { return p.rate * std::exp(-p.activation / (gas * T)); }

double half_life(const Peroxide& p, double T) { return std::numbers::ln2 / decay_rate(p, T); }

double decayed(const Peroxide& p, double T, double time) {
  return -std::expm1(-decay_rate(p, T) * std::max(time, 0.0));
}

double scissions(const Peroxide& p, double amount) { return 2 * p.efficiency * amount; }

double scission_rate(const HeatScission& h, double T) {
  return (arrhenius(h.oxidative_rate, h.oxidative_activation, T) + arrhenius(h.thermal_rate, h.thermal_activation, T)) /
         reference_mass;
}

}  // namespace quern
