#pragma once
#include <span>

#include "machine/line_state.hpp"
namespace quern {

/// E(t), F(t) of lengths in series: the product of their transforms
///   exp(-iω d_i t_i) (1 + iω (1-d_i) t_i/n_i)^(-n_i)
/// inverted by a fast Fourier transform on an even grid. Mean Σ t_i, variance Σ ((1-d_i) t_i)²/n_i; ∫E dt = 1 to 1e-6.
Residence residence_distribution(std::span<const MixedLength> lengths);

/// When F reaches a share, by straight lines [s]. @param share in (0, 1)
double time_at(const Residence& r, double share);

}  // namespace quern
