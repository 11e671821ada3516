#pragma once
#include <algorithm>
#include <cmath>
#include <numeric>

#include "linear/strip_example.hpp"
#include "linear/strip_solver.hpp"
namespace quern::strip_check {

inline double norm(std::span<const double> v) {
  return std::sqrt(std::inner_product(v.begin(), v.end(), v.begin(), 0.0));
}

inline double true_residual(const StripProblem& problem, std::span<const double> p) {
  std::vector<double> r = outflow(problem.system, p);
  for (std::size_t i = 0; i < r.size(); ++i) r[i] = problem.b[i] - r[i];
  return norm(r) / norm(problem.b);
}

inline double difference(std::span<const double> p, std::span<const double> q) {
  double worst = 0, most = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    worst = std::max(worst, std::abs(p[i] - q[i]));
    most = std::max(most, std::abs(q[i]));
  }
  return most > 0 ? worst / most : worst;
}

struct Answer {
  StripReport report;
  std::vector<double> p;
};

inline Answer solved(const StripProblem& problem, double tolerance, int most_iterations = 60) {
  StripSolver solver(problem.system.topology);
  solver.set(problem.system);
  Answer a{{}, std::vector<double>(problem.b.size())};
  a.report = solver.solve(problem.b, a.p, tolerance, most_iterations);
  return a;
}

/// Ordinary diffusion: a uniform gap, for closed forms.
inline StripProblem uniform_strip(const StripTopology& t, double across, double along) {
  const auto cells = static_cast<std::size_t>(t.unknowns());
  StripProblem problem{{t, std::vector<double>(static_cast<std::size_t>(t.links() * t.rows), across),
                        std::vector<double>(cells, along), std::vector<double>(cells)},
                       std::vector<double>(cells)};
  if (!t.periodic)
    for (int c = 0; c < t.columns(); ++c) {
      const auto first = static_cast<std::size_t>(c * t.rows), last = first + static_cast<std::size_t>(t.rows) - 1;
      problem.system.along[last] = 0;
      problem.system.ground[first] = problem.system.ground[last] = 2 * along;
    }
  return problem;
}

}  // namespace quern::strip_check
