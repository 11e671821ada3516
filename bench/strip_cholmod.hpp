#pragma once
// Sparse Cholesky of SuiteSparse, supernodal, nested dissection found once: what a careful user of a library would do.
// One thread, as ours; where BLAS is OpenBLAS its threads would also spin while they wait.
#include <algorithm>
#include <suitesparse/cholmod.h>
#include <utility>
#include <vector>

#include "linear/strip_system.hpp"
extern "C" void openblas_set_num_threads(int) __attribute__((weak));

namespace quern::bench {

class Cholmod {
 public:
  explicit Cholmod(const StripSystem& system) : size_(system.topology.unknowns()) {
    if (openblas_set_num_threads) openblas_set_num_threads(1);
    cholmod_start(&common_);
    common_.supernodal = CHOLMOD_SUPERNODAL;
    common_.nmethods = 1;
    common_.method[0].ordering = CHOLMOD_NESDIS;
    fill(system);
    factor_ = cholmod_analyze(matrix_, &common_);
    right_ = cholmod_allocate_dense(n(), 1, n(), CHOLMOD_REAL, &common_);
  }
  Cholmod(const Cholmod&) = delete;
  Cholmod& operator=(const Cholmod&) = delete;
  ~Cholmod() {
    cholmod_free_dense(&right_, &common_);
    cholmod_free_dense(&answer_, &common_);
    cholmod_free_dense(&work_, &common_);
    cholmod_free_dense(&more_work_, &common_);
    cholmod_free_factor(&factor_, &common_);
    cholmod_free_sparse(&matrix_, &common_);
    cholmod_finish(&common_);
  }

  void factor() { cholmod_factorize(matrix_, factor_, &common_); }
  /// The answer stays until the next one.
  const double* solve(const std::vector<double>& b) {
    std::copy(b.begin(), b.end(), static_cast<double*>(right_->x));
    cholmod_solve2(CHOLMOD_A, factor_, right_, nullptr, &answer_, nullptr, &work_, &more_work_, &common_);
    return static_cast<const double*>(answer_->x);
  }

 private:
  std::size_t n() const { return static_cast<std::size_t>(size_); }

  void fill(const StripSystem& s) {
    const StripTopology& t = s.topology;
    std::vector<std::vector<std::pair<int, double>>> columns(n());  // upper triangle
    std::vector<double> diagonal(s.ground);
    const auto join = [&](int i, int j, double g) {
      if (i == j || g == 0) return;
      diagonal[static_cast<std::size_t>(i)] += g, diagonal[static_cast<std::size_t>(j)] += g;
      columns[static_cast<std::size_t>(std::max(i, j))].emplace_back(std::min(i, j), -g);
    };
    const std::vector<StripTopology::Ends> ends = t.link_ends();
    for (int l = 0; l < t.links(); ++l)
      for (int k = 0; k < t.rows; ++k)
        join(ends[static_cast<std::size_t>(l)].from * t.rows + k, ends[static_cast<std::size_t>(l)].to * t.rows + k,
             s.link[static_cast<std::size_t>(l * t.rows + k)]);
    for (int c = 0; c < t.columns(); ++c)
      for (int k = 0; k < t.rows; ++k)
        join(c * t.rows + k, c * t.rows + (k + 1) % t.rows, s.along[static_cast<std::size_t>(c * t.rows + k)]);
    if (std::all_of(s.ground.begin(), s.ground.end(), [](double g) { return g == 0; })) diagonal[0] *= 2;
    std::size_t entries = n();
    for (const auto& column : columns) entries += column.size();
    matrix_ = cholmod_allocate_sparse(n(), n(), entries, 1, 1, 1, CHOLMOD_REAL, &common_);
    int* const starts = static_cast<int*>(matrix_->p);
    int* const row = static_cast<int*>(matrix_->i);
    int at = 0;
    double* const value = static_cast<double*>(matrix_->x);
    for (std::size_t c = 0; c < n(); ++c) {
      starts[c] = at;
      std::sort(columns[c].begin(), columns[c].end());
      for (const auto& [r, v] : columns[c]) row[at] = r, value[at++] = v;
      row[at] = static_cast<int>(c), value[at++] = diagonal[c];
    }
    starts[n()] = at;
  }

  int size_;
  cholmod_common common_{};
  cholmod_sparse* matrix_ = nullptr;
  cholmod_factor* factor_ = nullptr;
  cholmod_dense *right_ = nullptr, *answer_ = nullptr, *work_ = nullptr, *more_work_ = nullptr;
};

}  // namespace quern::bench
