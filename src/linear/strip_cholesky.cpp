#include "linear/strip_cholesky.hpp"

#include <Eigen/SparseCholesky>
#include <algorithm>
#include <numeric>

namespace quern {
namespace {

using Sparse = Eigen::SparseMatrix<double>;

bool floats(const StripSystem& s) {
  return std::none_of(s.ground.begin(), s.ground.end(), [](double g) { return g > 0; });
}

/// The lower triangle. A floating pressure is held at the first cell by a conductance of its own size, which changes
/// nothing else: no flow leaves through it when b sums to zero.
Sparse matrix(const StripSystem& s, bool hold) {
  const StripTopology& t = s.topology;
  const int rows = t.rows, n = t.unknowns();
  std::vector<Eigen::Triplet<double>> entries;
  std::vector<double> diagonal(s.ground);
  const auto couple = [&](int i, int j, double g) {
    if (i == j) return;
    diagonal[static_cast<std::size_t>(i)] += g, diagonal[static_cast<std::size_t>(j)] += g;
    entries.emplace_back(std::max(i, j), std::min(i, j), -g);
  };
  const std::vector<StripTopology::Ends> ends = t.link_ends();
  std::size_t at = 0;
  for (const StripTopology::Ends& e : ends)
    for (int k = 0; k < rows; ++k) couple(e.from * rows + k, e.to * rows + k, s.link[at++]);
  for (int c = 0; c < t.columns(); ++c)
    for (int k = 0; k < (t.periodic ? rows : rows - 1); ++k) {
      const int here = c * rows + k;
      couple(here, c * rows + (k + 1) % rows, s.along[static_cast<std::size_t>(here)]);
    }
  if (hold) diagonal[0] *= 2;
  for (int i = 0; i < n; ++i) entries.emplace_back(i, i, diagonal[static_cast<std::size_t>(i)]);
  Sparse lower(n, n);
  lower.setFromTriplets(entries.begin(), entries.end());
  return lower;
}

}  // namespace

struct StripCholesky::Impl {
  StripTopology topology;
  Eigen::SimplicialLDLT<Sparse, Eigen::Lower> cholesky;
  StripSystem system;
  bool floating = false, analysed = false;
};

StripCholesky::StripCholesky(const StripTopology& topology) : impl_(std::make_unique<Impl>()) {
  impl_->topology = topology;
}
StripCholesky::~StripCholesky() = default;
StripCholesky::StripCholesky(StripCholesky&&) noexcept = default;
StripCholesky& StripCholesky::operator=(StripCholesky&&) noexcept = default;

bool StripCholesky::factor(const StripSystem& system) {
  impl_->system = system;
  impl_->floating = floats(system);
  const Sparse lower = matrix(system, impl_->floating);
  if (!impl_->analysed) impl_->cholesky.analyzePattern(lower);
  impl_->analysed = true;
  impl_->cholesky.factorize(lower);
  return impl_->cholesky.info() == Eigen::Success && impl_->cholesky.vectorD().minCoeff() > 0;
}

std::vector<double> StripCholesky::solve(std::span<const double> b) const {
  const auto n = static_cast<Eigen::Index>(b.size());
  Eigen::VectorXd right = Eigen::Map<const Eigen::VectorXd>(b.data(), n);
  if (impl_->floating) right.array() -= right.mean();
  Eigen::VectorXd p = impl_->cholesky.solve(right);
  const std::vector<double> back = outflow(impl_->system, {p.data(), b.size()});
  p += impl_->cholesky.solve(right - Eigen::Map<const Eigen::VectorXd>(back.data(), n));
  if (impl_->floating) p.array() -= p.mean();
  return {p.data(), p.data() + n};
}

}  // namespace quern
