#include "flow/heat_transfer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>
#include <span>

#include "base/error.hpp"

namespace quern {
namespace {

using std::numbers::pi;
constexpr double zero_C = 273.15;

struct Row {
  double T, density, heat_capacity, conductivity, viscosity;  // degC, kg/m3, J/(kg K), W/(m K), mPa s
};
// Melinder (2010), IIR, ethylene glycol and water, as tabulated in docs/sources; water: handbook values, 0 to 30 degC.
constexpr Row water[] = {{0, 999.8, 4217, 0.561, 1.792}, {10, 999.7, 4192, 0.580, 1.307}, {20, 998.2, 4182, 0.598, 1.002}, {30, 995.7, 4178, 0.615, 0.798}};
constexpr Row glycol30[] = {{-10, 1047.8, 3646, 0.4367, 6.616}, {0, 1045.6, 3676, 0.4463, 4.315}, {10, 1042.5, 3707, 0.4559, 2.975}, {20, 1038.7, 3737, 0.4653, 2.163}, {30, 1034.3, 3768, 0.4742, 1.653}};
constexpr Row glycol40[] = {{-20, 1067.4, 3348, 0.3944, 15.105}, {-10, 1064.7, 3389, 0.4019, 9.053}, {0, 1061.3, 3430, 0.4095, 5.798}, {10, 1057.2, 3472, 0.4172, 3.946}, {20, 1052.6, 3513, 0.4249, 2.839}, {30, 1047.5, 3555, 0.4324, 2.148}};
constexpr Row glycol50[] = {{-20, 1083.6, 3085, 0.3648, 22.036}, {-10, 1080.1, 3137, 0.3708, 12.802}, {0, 1075.9, 3190, 0.3769, 8.022}, {10, 1071.2, 3242, 0.3830, 5.371}, {20, 1066.0, 3295, 0.3891, 3.808}, {30, 1060.3, 3349, 0.3953, 2.831}};

double between(double a, double b, double f) { return a + f * (b - a); }

/// One concentration at a temperature; straight lines, viscosity in its logarithm, the end lines go on.
Coolant at(std::span<const Row> rows, double celsius) {
  std::size_t i = 1;
  while (i + 1 < rows.size() && celsius > rows[i].T) ++i;
  const Row &a = rows[i - 1], &b = rows[i];
  const double f = (celsius - a.T) / (b.T - a.T);
  return {between(a.density, b.density, f), between(a.heat_capacity, b.heat_capacity, f), between(a.conductivity, b.conductivity, f),
          1e-3 * std::exp(between(std::log(a.viscosity), std::log(b.viscosity), f))};
}

/// n-th root of z J1(z) = Bi J0(z): between the n-th zeros of J1 and J0.
double strand_root(double biot, int n) {
  namespace bm = boost::math;
  const double low = n == 1 ? 1e-9 : bm::cyl_bessel_j_zero(1.0, n - 1), high = bm::cyl_bessel_j_zero(0.0, n);
  const auto f = [&](double z) { return z * bm::cyl_bessel_j(1, z) - biot * bm::cyl_bessel_j(0, z); };
  std::uintmax_t most = 100;
  const auto bracket = bm::tools::toms748_solve(f, low, high, bm::tools::eps_tolerance<double>(48), most);
  return 0.5 * (bracket.first + bracket.second);
}

}  // namespace

double melt_film_coefficient(double D, double N, double rho, double mu, double cp, double k) {
  return k / D * 0.94 * std::pow(D * D * N * rho / mu, 0.28) * std::pow(cp * mu / k, 0.33);
}

double surface_rise(double flux, double time, double k, double rho, double cp) { return 2 * flux * std::sqrt(time / (pi * k * rho * cp)); }

double freezing_point(double glycol) {
  // Melinder (2010), by mass fraction; water and 20 to 50 %
  constexpr std::pair<double, double> points[] = {{0.0, 0.0}, {0.20, -7.93}, {0.25, -10.96}, {0.30, -14.60}, {0.35, -18.89}, {0.40, -23.87}, {0.45, -29.57}, {0.50, -36.03}};
  if (!(glycol >= 0 && glycol <= 0.5)) throw InputError({{.field = "coolant", .wrong = fmt::format("{:.3g} % glycol", glycol * 100), .right = "0 % to 50 %"}});
  std::size_t i = 1;
  while (i + 1 < std::size(points) && glycol > points[i].first) ++i;
  const auto [x0, T0] = points[i - 1];
  const auto [x1, T1] = points[i];
  return zero_C + between(T0, T1, (glycol - x0) / (x1 - x0));
}

Coolant glycol_water(double glycol, double T) {
  const double freezes = freezing_point(glycol), celsius = T - zero_C;
  if (T < freezes)
    throw InputError({{.field = "coolant",
                       .wrong = fmt::format("{:.3g} % glycol at {:.3g} degC is frozen: it freezes at {:.1f} degC", glycol * 100, celsius, freezes - zero_C),
                       .right = "more glycol or a warmer set point"}});
  struct Level {
    double x;
    std::span<const Row> rows;
  };
  const Level levels[] = {{0.0, water}, {0.3, glycol30}, {0.4, glycol40}, {0.5, glycol50}};
  std::size_t i = 1;
  while (i + 1 < std::size(levels) && glycol > levels[i].x) ++i;
  const Coolant a = at(levels[i - 1].rows, celsius), b = at(levels[i].rows, celsius);
  const double f = (glycol - levels[i - 1].x) / (levels[i].x - levels[i - 1].x);
  return {between(a.density, b.density, f), between(a.heat_capacity, b.heat_capacity, f), between(a.conductivity, b.conductivity, f),
          std::exp(between(std::log(a.viscosity), std::log(b.viscosity), f))};
}

StrandCooling cool_strand(double diameter, double time, double film, double k, double rho, double cp, double T_start, double T_water) {
  namespace bm = boost::math;
  const double R = diameter / 2, biot = film * R / k, fourier = k / (rho * cp) * time / (R * R);
  double core = 0, mean = 0, surface = 0;
  for (int n = 1; n <= 40; ++n) {
    const double z = strand_root(biot, n), j0 = bm::cyl_bessel_j(0, z), j1 = bm::cyl_bessel_j(1, z);
    const double part = 2 * j1 / (z * (j0 * j0 + j1 * j1)) * std::exp(-z * z * fourier);
    core += part, surface += part * j0, mean += part * 2 * j1 / z;
  }
  if (fourier < 1e-4) core = mean = 1;  // the series converges slowly where nothing has happened yet
  const auto back = [&](double theta) { return T_water + theta * (T_start - T_water); };
  return {back(core), back(mean), back(surface)};
}

}  // namespace quern
