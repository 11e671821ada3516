#include "flow/track_field.hpp"

#include <algorithm>
#include <boost/math/constants/constants.hpp>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>

namespace quern {
namespace {
constexpr double pi = boost::math::constants::pi<double>();
}

double TrackField::bore_angle(int cell, double along) const {
  const int i = cell % lobe_cells, last = lobe_cells - 1;
  if (i == 0) return cusp_angle + cell_angle * along / 2;
  return cusp_angle + cell_angle * (i - 0.5 + (i == last ? along / 2 : along));
}

double TrackField::profile_angle(int cell, double along, double at_row, double turns) const {
  const double twist = rows_per_disc > 0 ? std::floor(at_row / rows_per_disc) * twist_disc : at_row * twist_row;
  return bore_angle(cell, along) - 2 * pi * turns + twist + (cell >= lobe_cells ? pi / starts : 0);
}

double TrackField::cell_width(int cell) const {
  if (in_nip(cell)) {
    const int i = cell - 2 * lobe_cells;
    const double whole = 2 * bore_radius * std::sin(cusp_angle) / (nip_cells - 1);
    return i == 0 || i == nip_cells - 1 ? whole / 2 : whole;
  }
  const int i = cell % lobe_cells;
  return bore_radius * cell_angle * (i == 0 || i == lobe_cells - 1 ? 0.5 : 1);
}

int TrackField::rows_of(double length) const {
  return periodic ? std::max(1, static_cast<int>(std::lround(length / row))) : rows;
}

double TrackField::volume_per_length() const {
  double sum = 0;
  for (int k = 0; k < rows; ++k)
    for (int c = 0; c < row_cells(); ++c) sum += at(0, k, c).volume[0];
  return sum / (rows * row);
}

double lobe_rate(const TrackField& f, int cell, double s, double volume, double flux, double axial) {
  const double width = f.cell_width(cell), Rb = f.bore_radius;
  const double area_depth = volume / (width * f.row);  // h - h²/2Rb of a depth h
  const double h = Rb - std::sqrt(std::max(0.0, Rb * Rb - 2 * Rb * area_depth));
  const double slope = 6 * (1 - 2 * s);  // of the parabola 6 s (1 - s)
  const double along = 2 * pi * Rb * (4 - 6 * s) + slope * flux / (f.row * area_depth);
  const double across = slope * axial / (width * area_depth);
  return std::sqrt(along * along + across * across) / h;
}

double TrackField::mean_rate() const {
  using Gauss = boost::math::quadrature::gauss<double, 10>;
  double sum = 0, volume = 0;
  for (int n = 0; n < intervals; ++n)
    for (int k = 0; k < rows; ++k)
      for (int c = 0; c < row_cells(); ++c) {
        const TrackCell& cell = at(n, k, c);
        const double V = (cell.volume[0] + cell.volume[1]) / 2;
        const auto rate = [&](double s) {
          return lobe_rate(*this, c, s, V, (cell.flux[0] + cell.flux[1]) / 2, (cell.axial[0] + cell.axial[1]) / 2);
        };
        volume += V;
        sum += V * (in_nip(c) ? nip_rate[nip_place(n, k, c)]
                              : Gauss::integrate(rate, 0.0, 0.5) + Gauss::integrate(rate, 0.5, 1.0));
      }
  return sum / volume;
}

}  // namespace quern
