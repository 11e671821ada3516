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
  return std::bit_cast<V>(std::bit_cast<Bits<width<V>>>(a) & std::int64_t{0x7fffffffffffffff});
}
/// 0 below 0, 1 above 1, 3x² - 2x³ between.
template <class V>
inline V smooth_step(const V& x) {
  const V y = clamp01(x);
  return y * y * (3.0 - 2.0 * y);
}

/// √x of x ≥ 0.
template <class V>
inline V vsqrt(const V& x) {
  V root{};
  for (int i = 0; i < width<V>; ++i) set_lane(root, i, std::sqrt(lane(x, i)));
  return root;
}

/// The whole part of 0 ≤ x < 2^31, and the same as a number.
template <class V>
struct Whole {
  Bits<width<V>> index;
  V value;
};
template <class V>
inline Whole<V> whole(const V& x) {
  constexpr double shifter = 4503599627370496.0;  // 2^52: a number added to it stands in the low bits, rounded
  using I = Bits<width<V>>;
  const V rounded = (x + shifter) - shifter;
  const V value = rounded > x ? V(rounded - 1.0) : rounded;
  return {std::bit_cast<I>(V(value + shifter)) & std::int64_t{0x7fffffff}, value};
}

/// eˣ to 1e-15 relative for |x| < 700, beyond that as at 700. Cody-Waite reduction, then the Taylor series on ±ln2/2,
/// its terms paired (Estrin) so that few of them wait for each other.
template <class V>
inline V vexp(const V& x0) {
  constexpr double log2e = 1.4426950408889634074, ln2_hi = 6.93145751953125e-1, ln2_lo = 1.42860682030941723212e-6;
  constexpr double shifter = 6755399441055744.0;  // 1.5 * 2^52: adding it rounds to an integer in the low bits
  const V x = vmin(vmax(x0, -700.0), 700.0);
  const V shifted = x * log2e + shifter;
  const V k = shifted - shifter;
  const V r = (x - k * ln2_hi) - k * ln2_lo, r2 = r * r, r4 = r2 * r2;
  const V p0 = (1.0 + r) + r2 * (0.5 + r * (1.0 / 6.0));
  const V p4 = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5040.0));
  const V p8 = (1.0 / 40320.0 + r * (1.0 / 362880.0)) + r2 * (1.0 / 3628800.0 + r * (1.0 / 39916800.0));
  const V p12 = 1.0 / 479001600.0 + r * (1.0 / 6227020800.0);
  const V p = (p0 + r4 * p4) + (r4 * r4) * (p8 + r4 * p12);
  using I = Bits<width<V>>;
  const I power = (std::bit_cast<I>(shifted) << 52) + (I{} + (std::int64_t{1023} << 52));
  return p * std::bit_cast<V>(power);
}

/// 2 artanh(s) for |s| ≤ 3 - 2√2, which is ln((1+s)/(1-s)); the first term left out is 1e-17 of the whole.
template <class V>
inline V two_artanh(const V& s) {
  const V z = s * s, z2 = z * z, z4 = z2 * z2;
  const V p0 = (1.0 + z * (1.0 / 3.0)) + z2 * (1.0 / 5.0 + z * (1.0 / 7.0));
  const V p4 = (1.0 / 9.0 + z * (1.0 / 11.0)) + z2 * (1.0 / 13.0 + z * (1.0 / 15.0));
  const V p8 = 1.0 / 17.0 + z * (1.0 / 19.0);
  return 2.0 * s * (p0 + z4 * (p4 + z4 * p8));
}

constexpr double ln2 = 6.93147180559945286227e-1;

/// ln x for normal positive x to 1e-15. Mantissa in [√½, √2), then 2 artanh((m-1)/(m+1)).
template <class V>
inline V vlog(const V& x) {
  constexpr double shifter = 6755399441055744.0;
  using I = Bits<width<V>>;
  const I bits = std::bit_cast<I>(x);
  const I offset = bits - (I{} + std::int64_t{0x3fe6a09e667f3bcd});  // √½
  const I exponent = offset >> 52;
  const V m = std::bit_cast<V>(I(bits - (exponent << 52)));
  const V e = std::bit_cast<V>(I(exponent + std::bit_cast<std::int64_t>(shifter))) - shifter;  // exponent as a number
  return two_artanh(V((m - 1.0) / (m + 1.0))) + e * ln2;
}

/// ln(1 + eᵘ) without overflow: ln(1 + y) of y = e^-|u| in (0, 1], halved beyond √2 to stay near one.
template <class V>
inline V softplus(const V& u) {
  const V y = vexp(V(-vabs(u)));
  const V half = y > 0.41421356237309503 ? all<V>(1.0) : V{};
  return vmax(u, 0.0) + (two_artanh(V((y - half) / (y + 2.0 + half))) + half * ln2);
}

}  // namespace quern
