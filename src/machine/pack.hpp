#pragma once
#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
namespace quern {

/// W numbers side by side, one per operating point, so that one march serves W points.
/// W = 1 is a plain double: the single solve runs the same code and gives the same figures.
template <int W>
struct PackOf {
  typedef double type __attribute__((vector_size(8 * W)));
  typedef std::int64_t bits __attribute__((vector_size(8 * W)));
};
template <>
struct PackOf<1> {
  using type = double;
  using bits = std::int64_t;
};
template <int W>
using Pack = typename PackOf<W>::type;
template <int W>
using Bits = typename PackOf<W>::bits;

template <class V>
constexpr int width = static_cast<int>(sizeof(V) / sizeof(double));
template <>
inline constexpr int width<double> = 1;

/// The number v in every lane.
template <class V>
inline V all(double v) {
  return V{} + v;
}
template <class V>
inline double lane(const V& v, int i) {
  if constexpr (width<V> == 1) return v;
  else return v[i];
}
template <class V>
inline void set_lane(V& v, int i, double x) {
  if constexpr (width<V> == 1) v = x;
  else v[i] = x;
}

template <class V>
inline V vmax(const V& a, const V& b) {
  return a > b ? a : b;
}
template <class V>
inline V vmin(const V& a, const V& b) {
  return a < b ? a : b;
}
template <class V>
  requires(width<V> > 1)
inline V vmax(const V& a, double b) {
  return vmax(a, all<V>(b));
}
template <class V>
  requires(width<V> > 1)
inline V vmin(const V& a, double b) {
  return vmin(a, all<V>(b));
}
template <class V>
inline V clamp01(const V& a) {
  return vmin(vmax(a, 0.0), 1.0);
}
template <class V>
inline V vabs(const V& a) {
  return vmax(a, V(-a));
}
/// 0 below 0, 1 above 1, 3x² - 2x³ between.
template <class V>
inline V smooth_step(const V& x) {
  const V y = clamp01(x);
  return y * y * (3.0 - 2.0 * y);
}

/// eˣ to 1e-15 relative for |x| < 700, beyond that as at 700. Cody-Waite reduction, then the Taylor series on ±ln2/2.
template <class V>
inline V vexp(const V& x0) {
  constexpr double log2e = 1.4426950408889634074, ln2_hi = 6.93145751953125e-1, ln2_lo = 1.42860682030941723212e-6;
  constexpr double shifter = 6755399441055744.0;  // 1.5 * 2^52: adding it rounds to an integer in the low bits
  const V x = vmin(vmax(x0, -700.0), 700.0);
  const V shifted = x * log2e + shifter;
  const V k = shifted - shifter;
  const V r = (x - k * ln2_hi) - k * ln2_lo;
  V p = all<V>(1.0 / 6227020800.0);
  for (const double c : {1.0 / 479001600.0, 1.0 / 39916800.0, 1.0 / 3628800.0, 1.0 / 362880.0, 1.0 / 40320.0,
                         1.0 / 5040.0, 1.0 / 720.0, 1.0 / 120.0, 1.0 / 24.0, 1.0 / 6.0, 0.5, 1.0, 1.0})
    p = p * r + c;
  using I = Bits<width<V>>;
  const I power = (std::bit_cast<I>(shifted) << 52) + (I{} + (std::int64_t{1023} << 52));
  return p * std::bit_cast<V>(power);
}

/// ln x for normal positive x to 1e-15. Mantissa in [√½, √2), then 2 artanh((m-1)/(m+1)).
template <class V>
inline V vlog(const V& x) {
  using I = Bits<width<V>>;
  const I bits = std::bit_cast<I>(x);
  const I offset = bits - (I{} + std::int64_t{0x3fe6a09e667f3bcd});  // √½
  const I exponent = offset >> 52;
  const V m = std::bit_cast<V>(I(bits - (exponent << 52)));
  V e{};
  for (int i = 0; i < width<V>; ++i) {
    if constexpr (width<V> == 1) e = static_cast<double>(exponent);
    else e[i] = static_cast<double>(exponent[i]);
  }
  const V s = (m - 1.0) / (m + 1.0), z = s * s;
  V p = all<V>(1.0 / 23.0);
  for (const double c : {1.0 / 21.0, 1.0 / 19.0, 1.0 / 17.0, 1.0 / 15.0, 1.0 / 13.0, 1.0 / 11.0, 1.0 / 9.0, 1.0 / 7.0,
                         1.0 / 5.0, 1.0 / 3.0, 1.0})
    p = p * z + c;
  return 2.0 * s * p + e * 6.93147180559945286227e-1;
}

/// ln(1 + eᵘ) without overflow.
template <class V>
inline V softplus(const V& u) {
  return vmax(u, 0.0) + vlog(V(1.0 + vexp(V(-vabs(u)))));
}

}  // namespace quern
