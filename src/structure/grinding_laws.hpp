#pragma once
namespace quern {

/// Rules of thumb for the energy that grinding takes, to hold a cold section's result against. None is a law of
/// polymers.

/// Energy per mass in proportion to new surface: K_R (1/x_after - 1/x_before). Rittinger (1867), value from memory.
/// Any units, so long as they agree. Sizes > 0.
double rittinger_energy(double K_R, double before, double after);

/// Energy per mass in proportion to the ratio of sizes: K_K ln(x_before/x_after), natural logarithm (log10 is found
/// too). Kick (1885), value from memory.
double kick_energy(double K_K, double before, double after);

/// 10 W_i (1/√P80 - 1/√F80), sizes in µm: Bond (1952), Trans. AIME 193, 484, value from memory.
/// @param work_index W_i: from endless size to 100 µm [J/kg] @param f80,p80 size that 80 % of feed, product passes [m]
/// @return [J/kg]
double bond_energy(double work_index, double f80, double p80);
/// W_i [J/kg] that a grinding step had: the energy it took over Bond's factor. Comparable between trials of any feed.
/// f80 > p80.
double bond_work_index(double energy, double f80, double p80);

}  // namespace quern
