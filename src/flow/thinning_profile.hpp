#pragma once
#include <span>
#include <vector>

#include "materials/viscosity.hpp"
namespace quern {

/// Viscosity at one temperature and pressure, as the depth-resolved profiles use it:
///
///   η = η∞ + η0 [c + (λ r)ᵃ]^((n-1)/a),   r² = γ̇² + least_rate²
///
/// c = 1 with a zero-shear plateau (Carreau-Yasuda; Cross is a = 1 - n), 0 without (power law K γ̇ⁿ⁻¹: η0 = K, λ = 1).
/// λ = 0 or n = 1 is a Newtonian liquid. 0.2 ≤ n ≤ 1.5 is what the iteration below is meant for.
struct ThinningLaw {
  double eta0 = 1;           ///< above η∞, at zero rate; K λ^(1-n) of a power law [Pa s], more than 0
  double eta_inf = 0;        ///< at infinite rate [Pa s]
  double lambda = 0;         ///< time constant [s]
  double yasuda = 2;         ///< width of the transition, a [1]
  double n = 1;              ///< power-law index [1]
  bool plateau = true;       ///< c
  double least_rate = 1e-6;  ///< keeps a power law finite at rest [1/s]
};

/// The law of a melt at T [K] and p [Pa]. With a its shift: η0 is (η0 - η∞) a of the melt, λ is λ a, or λ where the
/// shift is vertical.
ThinningLaw thinning_law(const Viscosity& melt, double T, double p = 0);

/// η(γ̇) [Pa s].
double viscosity(const ThinningLaw& law, double rate);
/// The rate that a stress drives, η(γ̇) γ̇ = τ [1/s]. @param stress [Pa], not negative
double rate_at_stress(const ThinningLaw& law, double stress);

/// What drives the columns: views of shape (columns). The lower wall y = 0 is at rest, the upper one slides along x.
struct ColumnLoads {
  std::span<const double> depth;  ///< h [m]
  std::span<const double> speed;  ///< U [m/s]
  std::span<const double> p_x;    ///< ∂p/∂x [Pa/m]
  std::span<const double> p_z;    ///< ∂p/∂z [Pa/m]
};

/// How the columns answer, so that a linear assembler can use it: q_x = drag U h/2 - mobility h³/12 p_x and
/// q_z = -mobility h³/12 p_z. Seen from the moving wall (screw at rest) q_x is less by U h. Views of shape (columns).
struct ColumnFlow {
  std::span<double> mobility;  ///< 12 F2/h³ [1/(Pa s)], 1/η of a Newtonian liquid
  std::span<double> drag;      ///< 2 (1 - F1/(h F0)) [1], 1 of a Newtonian liquid
  std::span<double> wall;      ///< h/F0 [Pa s]; stress at the sliding wall = wall U/h + drag h/2 p_x
};

struct ColumnLoad {
  double depth, speed, p_x, p_z;  ///< as in ColumnLoads
};

/// What happens in one column.
struct ColumnFigures {
  double dissipation = 0;  ///< ∫ τ γ̇ dy [W/m²]
  double mean_rate = 0;    ///< (1/h) ∫ γ̇ dy [1/s]
  double rms_rate = 0;     ///< √((1/h) ∫ γ̇² dy) [1/s]
  double barrel_rate = 0;  ///< at the wall at rest [1/s]
};

/// Velocity profiles between two walls of many columns of a lubrication film whose viscosity falls with the rate.
///
/// Stress is linear in depth, τ = U/F0 + ∇p (y - F1/F0), with the column integrals
///   F0 = ∫dy/η,  F1 = ∫y dy/η,  F2 = ∫(y - F1/F0)² dy/η
/// by Gauss-Legendre at the depths where η is kept. One Picard pass puts η(|τ|/η_old) in place of η_old and leaves
/// |1 - n| of the error of ln η. (Putting in the η of the stress would leave |1/n - 1| where the flow is given.)
/// Eight depths find the pressure flow of a power law within 5e-4, flow of drag against pressure within 1.5e-3 of U h
/// or of itself: docs/theory/thinning.md.
/// A depth under 1e-12 m counts as that; rates over 1e15 1/s, and what is no number, count as 1e15: the flow stays
/// finite.
class ThinningProfiles {
 public:
  /// Every column Newtonian with η0 (+ η∞), of which Picard makes the true one.
  /// @param depths Gauss points per column, 2 to 16
  ThinningProfiles(int columns, const ThinningLaw& law, int depths = 8);

  int columns() const { return columns_; }

  /// One Picard pass of every column at the given gradients, then its flow with the new viscosity.
  void update(const ColumnLoads& loads, const ColumnFlow& flow);
  /// Largest |Δ ln mobility| of the last update [1]. The state is kept in float: 1e-6 is as near as it gets.
  double largest_change() const { return largest_change_; }

  /// The two halves of an update, for an iteration that mixes states (linear/anderson.hpp): the flow with the viscosity
  /// as it stands, and the state that a Picard pass would put in its place.
  void flow(const ColumnFlow& flow) const;
  void advance(const ColumnLoads& loads, std::span<float> next) const;
  /// ln(η/η0), shape (groups of eight columns, depths, 8), the last column repeated to fill its group; `next` alike.
  std::span<float> state() { return state_; }

  /// Column i starts from what column source[i] of another grid (or of this one) has become.
  /// @param other of the same law and depths
  void start_from(const ThinningProfiles& other, std::span<const int> source);

  /// @param column 0 to columns - 1
  ColumnFigures figures(int column, const ColumnLoad& load) const;

 private:
  std::size_t place(int column, int depth) const;

  int columns_;
  ThinningLaw law_;
  std::vector<double> depth_, weight_;  // Gauss-Legendre on [0, 1], shape (depths)
  std::vector<float> state_;
  double largest_change_ = 0;
};

}  // namespace quern
