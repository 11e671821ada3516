#include "flow/shear_rates.hpp"

#include <algorithm>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>

#include "flow/strip_equations.hpp"

namespace quern {

void RateSample::add(const StripField& f, const StripFlow& flow, double G) {
  using Gauss = boost::math::quadrature::gauss<double, 8>;
  std::vector<double> p(flow.p_turn);
  for (std::size_t i = 0; i < p.size(); ++i) p[i] += G * flow.p_gradient[i];
  const std::vector<double> axial = axial_gradient(f, p, G);
  over_links(f, [&](std::size_t i, std::size_t from, std::size_t to, int link) {
    const double h = f.depth[i], slide = f.link_speed(link) / h, p_x = (p[to] - p[from]) * f.row / f.area[i],
                 p_z = (axial[from] + axial[to]) / 2;
    for (std::size_t j = 0; j < Gauss::abscissa().size(); ++j)
      for (const double y : {-Gauss::abscissa()[j] * h / 2, Gauss::abscissa()[j] * h / 2})
        items_.push_back({std::hypot(slide + p_x * y, p_z * y), f.area[i] * h * Gauss::weights()[j] / 2});
  });
}

ShearRates RateSample::rates() const {
  if (items_.empty()) return {};
  std::vector<Item> sorted(items_);
  std::sort(sorted.begin(), sorted.end(), [](const Item& a, const Item& b) { return a.rate < b.rate; });
  ShearRates r;
  double volume = 0, sum = 0;
  for (const Item& i : sorted) volume += i.volume, sum += i.rate * i.volume;
  r.mean = sum / volume;
  double below = 0;
  const std::pair<double, double*> wanted[] = {{0.1, &r.p10}, {0.5, &r.median}, {0.9, &r.p90}, {0.99, &r.p99}};
  std::size_t next = 0;
  for (const Item& i : sorted) {
    below += i.volume;
    while (next < 4 && below >= wanted[next].first * volume) *wanted[next++].second = i.rate;
  }
  return r;
}

}  // namespace quern
