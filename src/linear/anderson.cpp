#include "linear/anderson.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <cstring>

#include "base/pack.hpp"

namespace quern {
namespace {

constexpr std::size_t lanes = 8, chunk = 512;  // a chunk of all differences stays in the first-level cache
constexpr double least_share = 1e-6;           // of a squared length: what is left of a difference beside the others
using Row = std::array<double, AndersonMixing::most_depth>;
using Square = std::array<Row, AndersonMixing::most_depth>;

Pack<8> load(const float* values) {
  typedef float Floats __attribute__((vector_size(4 * lanes)));
  Floats v;
  std::memcpy(&v, values, sizeof v);
  return __builtin_convertvector(v, Pack<8>);
}

/// a · b of one chunk, n a multiple of eight.
double dot(const float* a, const float* b, std::size_t n) {
  Pack<8> sum{};
  for (std::size_t i = 0; i < n; i += lanes) sum += load(a + i) * load(b + i);
  return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}

/// Solution of the first n normal equations, gram γ = projection, by Gauss-Jordan with the longest remainder first;
/// those of no remainder get γ = 0.
Row coefficients(Square gram, Row projection, std::size_t n) {
  const Square lengths = gram;
  std::array<bool, AndersonMixing::most_depth> used{};
  const auto remainder = [&](std::size_t i) { return gram[i][i] / lengths[i][i]; };
  Row gamma{};
  for (std::size_t step = 0; step < n; ++step) {
    std::size_t pivot = n;
    for (std::size_t i = 0; i < n; ++i)
      if (!used[i] && remainder(i) > (pivot == n ? least_share : remainder(pivot))) pivot = i;
    if (pivot == n) break;
    used[pivot] = true;
    for (std::size_t i = 0; i < n; ++i) {
      if (i == pivot) continue;
      const double factor = gram[i][pivot] / gram[pivot][pivot];
      for (std::size_t j = 0; j < n; ++j) gram[i][j] -= factor * gram[pivot][j];
      projection[i] -= factor * projection[pivot];
    }
  }
  for (std::size_t i = 0; i < n; ++i)
    if (used[i]) gamma[i] = projection[i] / gram[i][i];
  return gamma;
}

}  // namespace

AndersonMixing::AndersonMixing(std::size_t size, std::size_t depth)
    : size_(size),
      padded_((size + lanes - 1) / lanes * lanes),
      depth_(depth),
      dr_(padded_ * depth),
      dg_(padded_ * depth),
      r_(padded_),
      g_(padded_) {
  assert(depth <= most_depth);
}

void AndersonMixing::mix(std::span<float> x, std::span<const float> g) {
  assert(x.size() == size_ && g.size() == size_);
  const std::size_t stored = std::min(passes_, depth_), newest = stored > 0 ? (passes_ - 1) % depth_ : 0;
  Row projection{}, row{};
  double length = 0;
  // One sweep for the residual, its change and that of g, and every product the small system needs.
  for (std::size_t first = 0; first < padded_; first += chunk) {
    const std::size_t n = std::min(chunk, padded_ - first);
    remember(x, g, first, std::min(n, size_ - first), newest);
    for (std::size_t j = 0; j < stored; ++j) {
      const float* dr = &dr_[j * padded_ + first];
      projection[j] += dot(dr, &r_[first], n), row[j] += dot(dr, &dr_[newest * padded_ + first], n);
    }
    length += dot(&r_[first], &r_[first], n);
  }
  std::copy(g.begin(), g.end(), x.begin());
  if (!std::isfinite(length)) return forget();
  ++passes_;
  for (std::size_t j = 0; j < stored; ++j) gram_[newest][j] = gram_[j][newest] = row[j];
  subtract_changes(x, coefficients(gram_, projection, stored), stored);
}

void AndersonMixing::remember(std::span<const float> x, std::span<const float> g, std::size_t first, std::size_t n,
                              std::size_t newest) {
  float *r = &r_[first], *g_last = &g_[first];
  if (passes_ > 0 && depth_ > 0) {
    float *dr = &dr_[newest * padded_ + first], *dg = &dg_[newest * padded_ + first];
    for (std::size_t i = 0; i < n; ++i) {
      dr[i] = (g[first + i] - x[first + i]) - r[i];
      dg[i] = g[first + i] - g_last[i];
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    r[i] = g[first + i] - x[first + i];
    g_last[i] = g[first + i];
  }
}

void AndersonMixing::subtract_changes(std::span<float> x, const Row& gamma, std::size_t stored) const {
  for (std::size_t first = 0; first < size_; first += chunk)
    for (std::size_t j = 0; j < stored; ++j) {
      const auto share = static_cast<float>(gamma[j]);
      const float* dg = &dg_[j * padded_ + first];
      const std::size_t n = std::min(chunk, size_ - first);
      for (std::size_t i = 0; i < n; ++i) x[first + i] -= share * dg[i];
    }
}

}  // namespace quern
