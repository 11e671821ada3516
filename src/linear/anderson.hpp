#pragma once
#include <array>
#include <cstddef>
#include <span>
#include <vector>
namespace quern {

/// Anderson mixing: the next iterate of a fixed point x = g(x), from the last few residuals r = g(x) - x.
///
///   x ← g - Σ γj Δgj,   γ minimises |r - Σ γj Δrj|²
///
/// with Δ the change from one pass to the next. On a linear map it does what GMRES does. A Δr of which the others
/// leave less than 1e-3 is passed over, so that γ stays bounded; with none left it is a plain pass, x ← g.
/// Source: Anderson (1965), J. ACM 12, 547; Walker & Ni (2011), SIAM J. Numer. Anal. 49, 1715 (from memory).
/// Keeps 2 depth + 2 copies of the state.
class AndersonMixing {
 public:
  static constexpr std::size_t most_depth = 4;
  /// @param size of the state @param depth how many changes are remembered, 0 (x ← g) to 4
  AndersonMixing(std::size_t size, std::size_t depth);

  /// @param x where g was taken; on return the next iterate @param g g(x)
  /// A residual that is not finite gives x = g, and all is forgotten.
  void mix(std::span<float> x, std::span<const float> g);
  /// As if new: after a change of the map itself.
  void forget() { passes_ = 0; }

 private:
  using Row = std::array<double, most_depth>;
  void remember(std::span<const float> x, std::span<const float> g, std::size_t first, std::size_t n,
                std::size_t newest);
  void subtract_changes(std::span<float> x, const Row& gamma, std::size_t stored) const;

  std::size_t size_, padded_, depth_, passes_ = 0;
  std::vector<float> dr_, dg_;  // shape (depth, padded); padding stays zero
  std::vector<float> r_, g_;  // of the last pass, shape (padded)
  std::array<Row, most_depth> gram_{};  // Δri · Δrj
};

}  // namespace quern
