#include "machine/residence.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wconversion"
#include <unsupported/Eigen/FFT>
#pragma GCC diagnostic pop

namespace quern {

Residence residence_distribution(std::span<const MixedLength> lengths) {
  using std::numbers::pi;
  double mean = 0, variance = 0;
  for (const MixedLength& l : lengths) {
    mean += l.mean;
    variance += std::pow((1 - l.plug_share) * l.mean, 2) / l.tanks;
  }
  constexpr int n = 4096, kept = 512;
  const double span = 2 * (mean + 10 * std::sqrt(variance)) + 1e-9, dt = span / n;
  // a little exponential damping keeps the far tail from wrapping round into the start
  const double damping = 12 / span;
  std::vector<std::complex<double>> transform(n);
  for (int k = 0; k <= n / 2; ++k) {
    const std::complex<double> s(damping, 2 * pi * k / span);
    std::complex<double> log_e = 0;
    for (const MixedLength& l : lengths) {
      if (l.mean <= 0) continue;
      const double mixed = (1 - l.plug_share) * l.mean;
      log_e -= s * (l.plug_share * l.mean) + l.tanks * std::log(1.0 + s * mixed / l.tanks);
    }
    // smooth cut-off towards the highest frequency: no ringing where E starts
    const double x = 2.0 * k / n;
    transform[static_cast<std::size_t>(k)] = std::exp(log_e - 36 * std::pow(x, 16));
  }
  for (int k = 1; k < n / 2; ++k)
    transform[static_cast<std::size_t>(n - k)] = std::conj(transform[static_cast<std::size_t>(k)]);
  transform[n / 2] = transform[n / 2].real();
  Eigen::FFT<double> fft;
  std::vector<std::complex<double>> density;
  fft.inv(density, transform);

  Residence r;
  const int step = n / kept / 2;  // the second half of the span is only there for the transform
  double cumulative = 0, last = 0;
  for (int i = 0; i < n / 2; ++i) {
    const double t = i * dt,
                 e = std::max(0.0, density[static_cast<std::size_t>(i)].real() / dt * std::exp(damping * t));
    if (i > 0) cumulative += 0.5 * (e + last) * dt;
    last = e;
    if (i % step != 0) continue;
    r.time.push_back(t), r.density.push_back(e), r.cumulative.push_back(cumulative);
  }
  const double area = r.cumulative.back();
  for (double& e : r.density) e /= area;
  for (double& f : r.cumulative) f /= area;
  return r;
}

double time_at(const Residence& r, double share) {
  const auto at = std::lower_bound(r.cumulative.begin(), r.cumulative.end(), share);
  if (at == r.cumulative.begin()) return r.time.front();
  if (at == r.cumulative.end()) return r.time.back();
  const auto i = static_cast<std::size_t>(at - r.cumulative.begin());
  const double f = (share - r.cumulative[i - 1]) / (r.cumulative[i] - r.cumulative[i - 1]);
  return r.time[i - 1] + f * (r.time[i] - r.time[i - 1]);
}

}  // namespace quern
