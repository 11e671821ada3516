#pragma once
// PFMG of hypre as preconditioner of its conjugate gradients, on a ring as a structured grid.
#include <HYPRE.h>
#include <HYPRE_struct_ls.h>
#include <mpi.h>
#include <vector>

#include "linear/strip_system.hpp"
namespace quern::bench {

/// MPI and hypre live as long as the program.
class HypreSession {
 public:
  HypreSession() {
    MPI_Init(nullptr, nullptr);
    HYPRE_Init();
  }
  ~HypreSession() {
    HYPRE_Finalize();
    MPI_Finalize();
  }
  HypreSession(const HypreSession&) = delete;
  HypreSession& operator=(const HypreSession&) = delete;
};

/// Of an open ring: columns are its periodic direction.
class Hypre {
 public:
  explicit Hypre(const StripSystem& s) : rows_(s.topology.rows), columns_(s.topology.columns()) {
    static const HypreSession session;
    int periods[2] = {columns_, 0};
    HYPRE_StructGridCreate(MPI_COMM_WORLD, 2, &grid_);
    HYPRE_StructGridSetExtents(grid_, low_, high());
    HYPRE_StructGridSetPeriodic(grid_, periods);
    HYPRE_StructGridAssemble(grid_);
    int offsets[3][2] = {{0, 0}, {1, 0}, {0, 1}};
    HYPRE_StructStencilCreate(2, 3, &stencil_);
    for (int i = 0; i < 3; ++i) HYPRE_StructStencilSetElement(stencil_, i, offsets[i]);
    HYPRE_StructMatrixCreate(MPI_COMM_WORLD, grid_, stencil_, &matrix_);
    HYPRE_StructMatrixSetSymmetric(matrix_, 1);
    HYPRE_StructMatrixInitialize(matrix_);
    fill(s);
    for (HYPRE_StructVector* v : {&right_, &answer_}) {
      HYPRE_StructVectorCreate(MPI_COMM_WORLD, grid_, v);
      HYPRE_StructVectorInitialize(*v);
    }
  }
  Hypre(const Hypre&) = delete;
  Hypre& operator=(const Hypre&) = delete;
  ~Hypre() {
    HYPRE_StructVectorDestroy(right_);
    HYPRE_StructVectorDestroy(answer_);
    HYPRE_StructMatrixDestroy(matrix_);
    HYPRE_StructStencilDestroy(stencil_);
    HYPRE_StructGridDestroy(grid_);
  }

  /// Set-up and solution from zero. @returns iterations
  int solve(const std::vector<double>& b, double tolerance) {
    std::vector<double> values = by_rows(b), zero(values.size());
    HYPRE_StructVectorSetBoxValues(right_, low_, high(), values.data());
    HYPRE_StructVectorSetBoxValues(answer_, low_, high(), zero.data());
    HYPRE_StructVectorAssemble(right_);
    HYPRE_StructVectorAssemble(answer_);
    HYPRE_StructSolver multigrid{}, gradients{};
    HYPRE_StructPFMGCreate(MPI_COMM_WORLD, &multigrid);
    HYPRE_StructPFMGSetTol(multigrid, 0);
    HYPRE_StructPFMGSetMaxIter(multigrid, 1);
    HYPRE_StructPFMGSetZeroGuess(multigrid);
    HYPRE_StructPFMGSetRelaxType(multigrid, 2);
    HYPRE_StructPCGCreate(MPI_COMM_WORLD, &gradients);
    HYPRE_StructPCGSetTol(gradients, tolerance);
    HYPRE_StructPCGSetMaxIter(gradients, 500);
    HYPRE_StructPCGSetTwoNorm(gradients, 1);
    HYPRE_StructPCGSetPrecond(gradients, HYPRE_StructPFMGSolve, HYPRE_StructPFMGSetup, multigrid);
    HYPRE_StructPCGSetup(gradients, matrix_, right_, answer_);
    HYPRE_StructPCGSolve(gradients, matrix_, right_, answer_);
    int iterations = 0;
    HYPRE_StructPCGGetNumIterations(gradients, &iterations);
    HYPRE_StructPCGDestroy(gradients);
    HYPRE_StructPFMGDestroy(multigrid);
    return iterations;
  }
  std::vector<double> answer() {
    std::vector<double> values(static_cast<std::size_t>(rows_ * columns_)), p(values.size());
    HYPRE_StructVectorGetBoxValues(answer_, low_, high(), values.data());
    for (int c = 0; c < columns_; ++c)
      for (int k = 0; k < rows_; ++k)
        p[static_cast<std::size_t>(c * rows_ + k)] = values[static_cast<std::size_t>(k * columns_ + c)];
    return p;
  }

 private:
  int* high() {
    high_[0] = columns_ - 1, high_[1] = rows_ - 1;
    return high_;
  }
  std::vector<double> by_rows(const std::vector<double>& v) const {
    std::vector<double> rows(v.size());
    for (int c = 0; c < columns_; ++c)
      for (int k = 0; k < rows_; ++k)
        rows[static_cast<std::size_t>(k * columns_ + c)] = v[static_cast<std::size_t>(c * rows_ + k)];
    return rows;
  }
  void fill(const StripSystem& s) {
    const auto at = [&](int c, int k) { return static_cast<std::size_t>((c + columns_) % columns_ * rows_ + k); };
    std::vector<double> entries;
    for (int k = 0; k < rows_; ++k)
      for (int c = 0; c < columns_; ++c) {
        const double below = k > 0 ? s.along[at(c, k - 1)] : 0.0;
        entries.push_back(s.ground[at(c, k)] + s.link[at(c, k)] + s.link[at(c - 1, k)] + s.along[at(c, k)] + below);
        entries.push_back(-s.link[at(c, k)]);
        entries.push_back(-s.along[at(c, k)]);
      }
    int elements[3] = {0, 1, 2};
    HYPRE_StructMatrixSetBoxValues(matrix_, low_, high(), 3, elements, entries.data());
    HYPRE_StructMatrixAssemble(matrix_);
  }

  int rows_, columns_;
  int low_[2] = {0, 0}, high_[2] = {};
  HYPRE_StructGrid grid_{};
  HYPRE_StructStencil stencil_{};
  HYPRE_StructMatrix matrix_{};
  HYPRE_StructVector right_{}, answer_{};
};

}  // namespace quern::bench
