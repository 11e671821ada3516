#include <cmath>
#include <fmt/format.h>
#include <iterator>
#include <span>
#include <utility>

#include "base/error.hpp"
#include "flow/heat_transfer.hpp"

namespace quern {
namespace {

constexpr double zero_C = 273.15;
constexpr double warmest = 40;     ///< [degC] end of the tables with one step of extrapolation
constexpr double rounding = 1e-9;  ///< [K]

struct Row {
  double celsius, density, heat_capacity, conductivity, viscosity;  ///< degC, kg/m3, J/(kg K), W/(m K), mPa s
};

// Water at 1 bar: values of the IAPWS formulations as in steam tables (value from memory).
constexpr Row water[] = {{0, 999.8, 4217, 0.561, 1.792},
                         {10, 999.7, 4192, 0.580, 1.306},
                         {20, 998.2, 4184, 0.598, 1.002},
                         {30, 995.7, 4180, 0.615, 0.797},
                         {40, 992.2, 4179, 0.631, 0.653}};
// Ethylene glycol and water, mass fractions 0.3, 0.4, 0.5: Melinder (2010), Properties of Secondary Working Fluids,
// IIR, from the polynomial coefficients of that book as the open library CoolProp holds them.
constexpr Row glycol30[] = {{-10, 1047.8, 3646, 0.4367, 6.616},
                            {0, 1045.6, 3676, 0.4463, 4.315},
                            {10, 1042.5, 3707, 0.4559, 2.975},
                            {20, 1038.7, 3737, 0.4653, 2.163},
                            {30, 1034.3, 3768, 0.4742, 1.653}};
constexpr Row glycol40[] = {{-20, 1067.4, 3348, 0.3944, 15.105}, {-10, 1064.7, 3389, 0.4019, 9.053},
                            {0, 1061.3, 3430, 0.4095, 5.798},    {10, 1057.2, 3472, 0.4172, 3.946},
                            {20, 1052.6, 3513, 0.4249, 2.839},   {30, 1047.5, 3555, 0.4324, 2.148}};
constexpr Row glycol50[] = {{-20, 1083.6, 3085, 0.3648, 22.036}, {-10, 1080.1, 3137, 0.3708, 12.802},
                            {0, 1075.9, 3190, 0.3769, 8.022},    {10, 1071.2, 3242, 0.3830, 5.371},
                            {20, 1066.0, 3295, 0.3891, 3.808},   {30, 1060.3, 3349, 0.3953, 2.831}};

struct Level {
  double glycol;
  std::span<const Row> rows;
};
constexpr Level levels[] = {{0.0, water}, {0.3, glycol30}, {0.4, glycol40}, {0.5, glycol50}};

/// Same source as the glycol tables; no glycol from the definition of the scale.
constexpr std::pair<double, double> freezing[] = {{0.0, 0.0},     {0.20, -7.93},  {0.25, -10.96}, {0.30, -14.60},
                                                  {0.35, -18.89}, {0.40, -23.87}, {0.45, -29.57}, {0.50, -36.03}};

double between(double a, double b, double share) { return a + share * (b - a); }

Coolant between(const Coolant& a, const Coolant& b, double share) {
  return {between(a.density, b.density, share), between(a.heat_capacity, b.heat_capacity, share),
          between(a.conductivity, b.conductivity, share),
          std::exp(between(std::log(a.viscosity), std::log(b.viscosity), share))};  // straight in its logarithm
}

/// Index of the end of the interval that holds x; the first and the last go on outside.
template <class Table, class Key>
std::size_t interval(const Table& table, double x, Key key) {
  std::size_t i = 1;
  while (i + 1 < std::size(table) && x > key(table[i])) ++i;
  return i;
}

Coolant coolant(const Row& r) { return {r.density, r.heat_capacity, r.conductivity, 1e-3 * r.viscosity}; }

Coolant at(std::span<const Row> rows, double celsius) {
  const std::size_t i = interval(rows, celsius, [](const Row& r) { return r.celsius; });
  const Row &a = rows[i - 1], &b = rows[i];
  return between(coolant(a), coolant(b), (celsius - a.celsius) / (b.celsius - a.celsius));
}

[[noreturn]] void refuse(std::string wrong, std::string right) {
  throw InputError({{.field = "coolant", .wrong = std::move(wrong), .right = std::move(right)}});
}

}  // namespace

double freezing_point(double glycol) {
  if (!(glycol >= 0 && glycol <= 0.5)) refuse(fmt::format("{:.4g} % glycol", 100 * glycol), "0 % to 50 %");
  const std::size_t i = interval(freezing, glycol, [](const auto& point) { return point.first; });
  const auto [x0, T0] = freezing[i - 1];
  const auto [x1, T1] = freezing[i];
  return zero_C + between(T0, T1, (glycol - x0) / (x1 - x0));
}

Coolant glycol_water(double glycol, double T) {
  const double freezes = freezing_point(glycol), celsius = T - zero_C;
  if (!(T > freezes - rounding))
    refuse(fmt::format("{:.4g} % glycol at {:.4g} degC is frozen: it freezes at {:.1f} degC", 100 * glycol, celsius,
                       freezes - zero_C),
           "more glycol or a warmer coolant");
  if (celsius > warmest + rounding)
    refuse(fmt::format("a coolant of {:.4g} degC lies outside the table", celsius), "at most 40 degC");
  const std::size_t i = interval(levels, glycol, [](const Level& level) { return level.glycol; });
  const Level &a = levels[i - 1], &b = levels[i];
  return between(at(a.rows, celsius), at(b.rows, celsius), (glycol - a.glycol) / (b.glycol - a.glycol));
}

}  // namespace quern
