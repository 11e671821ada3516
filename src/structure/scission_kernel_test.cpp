#include "structure/scission_kernel.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <initializer_list>
#include <numeric>

using doctest::Approx;
using namespace quern;  // NOLINT(google-build-using-namespace): one test, one namespace

namespace {

constexpr double repeat = 0.04208;

double total(const ChainDistribution& d) { return std::accumulate(d.mass.begin(), d.mass.end(), 0.0); }

ChainDistribution after(const ChainDistribution& d, const Scission& way) { return broken(d, {&way, 1}); }
ChainAverages after(const ChainAverages& a, const Scission& way) { return broken(a, {&way, 1}, repeat); }

/// Relative error of Mw after random breaking of equal chains, classes against the closed form.
double error_of_Mw(int per_decade, double scissions_per_chain) {
  const ChainDistribution d = equal_chains({1e-4 * 1.01, 1e4, per_decade}, 100);
  return averages(after(d, {scissions_per_chain / 100})).Mw / after_random_scission(d, scissions_per_chain / 100).Mw -
         1;
}

}  // namespace

TEST_CASE("breaking: random, in classes, converges on Ziff & McGrady (1985) with the square of the class width") {
  for (const double s : {0.5, 1.0, 5.0}) {
    CAPTURE(s);
    const double coarse = error_of_Mw(10, s), fine = error_of_Mw(20, s), finest = error_of_Mw(40, s);
    CHECK(std::fabs(fine) < 2.5e-3);
    CHECK(coarse / fine == Approx(4).epsilon(0.15));
    CHECK(fine / finest == Approx(4).epsilon(0.15));
  }
}

TEST_CASE("breaking: every break makes one chain and mass stays") {
  for (const ChainDistribution& d : {equal_chains({}, 100), log_normal_chains({}, 50, 5), schulz_chains({}, 50)})
    for (const double c : {1e-6, 1e-3, 0.05}) {
      CAPTURE(c);
      const ChainDistribution b = after(d, {c});
      CHECK(total(b) == Approx(1).epsilon(1e-13));
      CHECK(1 / averages(b).Mn - 1 / averages(d).Mn == Approx(c).epsilon(1e-5));
      CHECK(*std::min_element(b.mass.begin(), b.mass.end()) >= 0);
    }
}

TEST_CASE("breaking: nothing changes without a dose, to the last bit") {
  const ChainDistribution d = log_normal_chains({}, 50, 5);
  const Scission none[] = {{0, 0, {}}, {0, 40, 0.15}, {-1, 0, {}}};
  CHECK(broken(d, none).mass == d.mass);
  const ChainAverages a = averages(d), b = broken(a, none, repeat);
  CHECK(b.Mn == a.Mn);
  CHECK(b.Mw == a.Mw);
  CHECK(b.Mz == a.Mz);
}

TEST_CASE("breaking: two doses in turn are one of their sum") {  // exact integration: a semigroup
  const ChainDistribution d = log_normal_chains({}, 50, 5);
  const Scission part{0.004, 42, 0.15}, whole{0.012, 42, 0.15};
  const ChainDistribution thrice = after(after(after(d, part), part), part), once = after(d, whole);
  for (std::size_t i = 0; i < d.mass.size(); ++i) CHECK(std::fabs(thrice.mass[i] - once.mass[i]) < 1e-12);
}

TEST_CASE("breaking: most probable stays most probable") {  // Flory (1936); classes and averages alike
  const ChainDistribution d = schulz_chains({}, 50);
  for (const double c : {0.002, 0.02, 0.1}) {
    CHECK(averages(after(d, {c})).dispersity() == Approx(2).epsilon(5e-3));
    const ChainAverages a = after(ChainAverages{50, 100, 150}, Scission{c});
    CHECK(a.Mn == Approx(50 / (1 + 50 * c)).epsilon(2e-3));
    CHECK(a.dispersity() == Approx(2).epsilon(1e-2));
    CHECK(a.Mz / a.Mn == Approx(3).epsilon(1e-2));
  }
}

TEST_CASE(
    "breaking: no chain below the limit breaks, and none shorter than half of it is made") {  // Ovenall et al. (1958)
  const ChainDistribution below = schulz_chains({}, 5, 1.2);
  CHECK(after(below, {1e3, 60, 0.15}).mass[40] == below.mass[40]);
  CHECK(after(equal_chains({}, 39), {1e3, 40, {}}).mass == equal_chains({}, 39).mass);
  const ChainDistribution d = after(equal_chains({}, 300), {1e6, 40, {}});
  const std::vector<double> M = molar_masses(d);
  for (std::size_t i = 0; i < M.size(); ++i) {
    if (M[i] > 40 || M[i] * d.ratio < 20) {
      CAPTURE(M[i]);
      CHECK(d.mass[i] < 1e-12);
    }
  }
  CHECK(total(d) == Approx(1).epsilon(1e-13));
}

TEST_CASE("breaking: equal chains start at the closed slope of Mw, (1/2 - 2 v)(M - limit) M") {
  // v: variance of the break point; exact 1/12 (1 - limit/M)² anywhere, width² in the middle, when no end is cut off
  const double M = 300, dose = 1e-9;
  const ChainDistribution d = equal_chains({repeat, 1e5, 160}, M);
  for (const double limit : {0.0, 50.0, 150.0}) {
    CAPTURE(limit);
    const double open = 1 - limit / M, anywhere = (0.5 - open * open / 6) * (M - limit) * M;
    CHECK((M - averages(after(d, {dose, limit, {}})).Mw) / dose == Approx(anywhere).epsilon(3e-3));
    CHECK((M - after(ChainAverages{M, M, M}, Scission{dose, limit, {}}).Mw) / dose == Approx(anywhere).epsilon(1e-4));
    const double middle = (0.5 - 2 * 0.04 * 0.04) * (M - limit) * M;
    CHECK((M - averages(after(d, {dose, limit, 0.04})).Mw) / dose == Approx(middle).epsilon(3e-3));
    CHECK((M - after(ChainAverages{M, M, M}, Scission{dose, limit, 0.04}).Mw) / dose == Approx(middle).epsilon(0.02));
  }
}

TEST_CASE("breaking: in the middle, narrow, halves equal chains and nothing else") {
  const ChainDistribution d = equal_chains({repeat, 1e5, 100}, 300);
  const ChainDistribution b = after(d, {1e-6, 100, 0.02});
  const std::vector<double> M = molar_masses(d);
  double near_half = 0, moved = 0;
  for (std::size_t i = 0; i < M.size(); ++i) {
    if (M[i] > 299) continue;
    moved += b.mass[i];
    if (M[i] > 150 * 0.85 && M[i] < 150 * 1.15) near_half += b.mass[i];
  }
  CHECK(moved == Approx(1e-6 * 200).epsilon(1e-3));
  CHECK(near_half / moved > 0.997);  // 3.75 standard deviations of 0.02 × 300 kg/mol
}

TEST_CASE("breaking: with a limit, a narrow distribution first broadens, then narrows") {
  // Milling of poly(methyl methacrylate) (abstract): the distribution broadens, then narrows.
  const ChainDistribution d = schulz_chains({}, 300, 1.1);
  const ChainAverages start = averages(d);
  double widest = 0;
  ChainAverages end;
  for (double dose = 1e-4; dose < 10; dose *= 1.5) {
    end = averages(after(d, {dose, 50, 0.15}));
    widest = std::max(widest, end.dispersity());
  }
  CHECK(widest > 1.2 * start.dispersity());
  CHECK(end.dispersity() < start.dispersity());
}

TEST_CASE("breaking: averages alone follow the classes within their stated error") {
  struct Bound {
    double dispersity, error;
  };
  for (const Bound& b : {Bound{1.1, 0.05}, {2, 0.05}, {4, 0.05}, {6, 0.10}})
    for (const double s : {0.02, 0.1, 0.5, 2.0})
      for (const Scission& way : {Scission{s / 50}, {s / 50, 42, 0.15}}) {
        CAPTURE(b.dispersity);
        CAPTURE(s);
        const ChainDistribution d = log_normal_chains({}, 50, b.dispersity);
        const ChainAverages classes = averages(after(d, way)), fast = after(averages(d), way);
        CHECK(fast.Mw == Approx(classes.Mw).epsilon(b.error));
        CHECK(fast.Mn == Approx(classes.Mn).epsilon(0.1));
      }
}

TEST_CASE("breaking: averages of equal chains broken at random follow the table of closed forms") {
  for (const double s : {0.1, 0.5, 1.0, 2.0, 5.0, 10.0}) {
    const ChainAverages exact = after_random_scission(equal_chains({}, 100), s / 100);
    const ChainAverages fast = after(ChainAverages{100, 100, 100}, Scission{s / 100});
    CHECK(fast.Mn == Approx(exact.Mn).epsilon(1e-9));
    CHECK(fast.Mw == Approx(exact.Mw).epsilon(0.01));
  }
}

TEST_CASE("breaking: doses of any size and ways side by side give a distribution") {
  const ChainDistribution d = log_normal_chains({}, 50, 6);
  for (const double dose : {1e-300, 1e-12, 1.0, 1e12, 1e300})
    for (const double limit : {0.0, 40.0, 1e300})
      for (const double width : {0.02, 0.15, 5.0}) {
        CAPTURE(dose);
        CAPTURE(limit);
        const Scission ways[] = {{dose, limit, width}, {dose / 3, 0, {}}, {dose, 500, width}};
        const ChainDistribution b = broken(d, ways);
        const ChainAverages a = averages(b), fast = broken(averages(d), ways, repeat);
        CHECK(total(b) == Approx(1).epsilon(1e-12));
        CHECK(*std::min_element(b.mass.begin(), b.mass.end()) >= 0);
        CHECK(a.Mn <= a.Mw * (1 + 1e-12));
        CHECK(a.Mn >= repeat * (1 - 1e-9));
        CHECK(fast.Mn > 0);
        CHECK(fast.Mn <= fast.Mw);
        CHECK(fast.Mw <= fast.Mz);
        CHECK(fast.Mz <= averages(d).Mz);
      }
}
