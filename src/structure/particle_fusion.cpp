#include "structure/particle_fusion.hpp"

#include <algorithm>
#include <cmath>

namespace quern {
namespace {

constexpr double ages = 1e12;      // rate times time beyond which nothing is left to join
constexpr double at_once = 1e100;  // 1/s: both keep infinities out

constexpr double third_root[] = {1, 1.5874010519681994748, 2.5198420997897463295};  // 2^(2i/3), i = 0, 1, 2

// Of a particle, in those of class 0.
double volume(int i) { return static_cast<double>(1LL << i); }
double surface(int i) { return third_root[i % 3] * static_cast<double>(1LL << (i / 3 * 2)); }

}  // namespace

double number_left(double doses) { return 1 / (1 + 0.5 * doses); }

double neck_over_radius(double surface_tension, double time, double viscosity, double radius) {
  return std::sqrt(1.5 * surface_tension * time / (viscosity * radius));
}

double necking_rate(double surface_tension, double viscosity, double radius, double neck) {
  return 1.5 * surface_tension / (viscosity * radius * neck * neck);
}

Joining packed_contacts(const PerSize& mass, const PerSize& per_contact, double contacts) {
  double all = 0;
  for (int i = 0; i < size_classes; ++i) all += mass[i] / volume(i) * surface(i);
  Joining joining;
  if (!(all > 0)) return joining;
  for (int i = 0; i < size_classes; ++i) {
    joining.rate[i] = std::min(contacts * per_contact[i], at_once);
    joining.partner[i] = surface(i) / volume(i) / all;
  }
  return joining;
}

Joining constant_kernel(double K) {
  Joining joining;
  joining.rate.fill(K);
  for (int i = 0; i < size_classes; ++i) joining.partner[i] = 1 / volume(i);
  return joining;
}

double joined_per_time(const PerSize& mass, const Joining& joining) {
  double coarser = 0, moved = 0;
  for (int i = size_classes - 1; i >= 0; --i) {
    const double alike = joining.partner[i] * mass[i];
    moved += joining.rate[i] * mass[i] * (2 * coarser + alike);  // a join moves the smaller's mass on both sides
    coarser += alike;
  }
  return total(mass) > 0 ? moved / total(mass) : 0;
}

// A join of j < i takes the mass of one j and as much of i, and puts both into i + 1: of v_j + v_i the share
// 1 - v_j/v_i stays in i, as number and mass both demand. Two alike go whole into i + 1, half as often.
PerSize joined(const PerSize& mass, const Joining& joining, double time) {
  PerSize share{}, coarser{};
  for (int i = size_classes - 1; i >= 0; --i) {
    share[i] = joining.partner[i] * mass[i];
    coarser[i] = share[i] + (i + 1 < size_classes ? coarser[i + 1] : 0);
  }
  PerSize now{};
  double finer = 0;    // Σ_{j<i} rate_j time m_j: finer mass that looks for a partner
  double arrives = 0;  // from the class below
  for (int i = 0; i + 1 < size_classes; ++i) {
    const double step = std::min(joining.rate[i] * time, ages);
    const double eaten = std::min(finer * joining.partner[i], ages);
    now[i] = (mass[i] + arrives) / (1 + step * coarser[i] + eaten);
    arrives = finer * share[i] + (eaten + step * share[i]) * now[i];
    finer += step * now[i];
  }
  now[size_classes - 1] = mass[size_classes - 1] + arrives + finer * share[size_classes - 1];
  return now;
}

}  // namespace quern
