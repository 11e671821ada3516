#include "structure/grinding_laws.hpp"

#include <cmath>

namespace quern {
namespace {

constexpr double bond_reference = 100e-6;  // m; 10/√(x in µm) is √(100 µm/x)

double bond_factor(double f80, double p80) { return std::sqrt(bond_reference / p80) - std::sqrt(bond_reference / f80); }

}  // namespace

double rittinger_energy(double K_R, double before, double after) { return K_R * (1 / after - 1 / before); }
double kick_energy(double K_K, double before, double after) { return K_K * std::log(before / after); }
double bond_energy(double work_index, double f80, double p80) { return work_index * bond_factor(f80, p80); }
double bond_work_index(double energy, double f80, double p80) { return energy / bond_factor(f80, p80); }

}  // namespace quern
