#include "flow/thinning_profile.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>
#include <random>

#include "flow/channel.hpp"
#include "linear/anderson.hpp"

using namespace quern;
using doctest::Approx;

namespace {

ThinningLaw power(double K, double n) { return {.eta0 = K, .lambda = 1, .n = n, .plateau = false}; }

/// Many columns with room for their answers.
struct Film {
  std::vector<double> depth, speed, p_x, p_z, mobility, drag, wall;
  explicit Film(const std::vector<ColumnLoad>& columns)
      : mobility(columns.size()), drag(columns.size()), wall(columns.size()) {
    for (const ColumnLoad& c : columns)
      depth.push_back(c.depth), speed.push_back(c.speed), p_x.push_back(c.p_x), p_z.push_back(c.p_z);
  }
  ColumnLoads loads() const { return {depth, speed, p_x, p_z}; }
  ColumnFlow flow() { return {mobility, drag, wall}; }
  int columns() const { return static_cast<int>(depth.size()); }
};

/// One column, converged: flow per width, stress at the sliding wall in its direction, and the rest.
struct Column {
  double q_x, q_z, wall_stress, mobility, drag, wall;
  ColumnFigures figures;
};

Column solve(const ColumnLoad& load, const ThinningLaw& law, int depths = 8, int passes = 100) {
  Film film({load});
  ThinningProfiles profiles(1, law, depths);
  for (int k = 0; k < passes; ++k) profiles.update(film.loads(), film.flow());
  const double m = film.mobility[0], d = film.drag[0], w = film.wall[0], h = load.depth;
  const double conductance = m * h * h * h / 12;
  return {d * load.speed * h / 2 - conductance * load.p_x,
          -conductance * load.p_z,
          w * load.speed / h + d * h / 2 * load.p_x,
          m,
          d,
          w,
          profiles.figures(0, load)};
}

/// Flow of a power law through a slit, per width: Bird, Armstrong & Hassager (1987), Dynamics of Polymeric Liquids 1,
/// ch. 4 (value from memory; re-derived).
double slit_flow(double h, double gradient, double K, double n) {
  return n / (2 * n + 1) * h * h / 2 * std::pow(h * gradient / (2 * K), 1 / n);
}

}  // namespace

TEST_CASE("thinning profile: a Newtonian liquid has mobility 1/η, drag 1 and wall η, in one pass") {
  for (const int depths : {2, 3, 8, 12, 16}) {
    const Column c = solve({.depth = 0.003, .speed = 0.4, .p_x = 2e7, .p_z = -1e7}, {.eta0 = 850}, depths, 1);
    CAPTURE(depths);
    CHECK(c.mobility == Approx(1 / 850.0).epsilon(1e-12));
    CHECK(c.drag == Approx(1).epsilon(1e-12));
    CHECK(c.wall == Approx(850).epsilon(1e-12));
  }
}

TEST_CASE("thinning profile: viscosity at infinite rate counts from the start") {
  const Column c = solve({.depth = 0.003, .speed = 0.4, .p_x = 2e7, .p_z = 0}, {.eta0 = 800, .eta_inf = 50}, 8, 1);
  CHECK(c.mobility == Approx(1 / 850.0).epsilon(1e-6));
}

TEST_CASE("thinning profile: pure drag shears at U/h, whatever the law") {
  const ColumnLoad load{.depth = 0.002, .speed = 0.5, .p_x = 0, .p_z = 0};
  for (const double n : {0.2, 0.3, 0.5, 0.8, 1.0, 1.3})
    for (const bool plateau : {false, true}) {
      const ThinningLaw law{.eta0 = 5000, .lambda = 0.7, .yasuda = 1.3, .n = n, .plateau = plateau};
      const Column c = solve(load, law, 8, 1);
      CAPTURE(n);
      CHECK(c.wall == Approx(viscosity(law, 250)).epsilon(1e-6));
      CHECK(c.drag == Approx(1).epsilon(1e-9));
      CHECK(c.mobility * c.wall == Approx(1).epsilon(1e-9));
      CHECK(c.figures.mean_rate == Approx(250).epsilon(1e-6));
      CHECK(c.figures.rms_rate == Approx(250).epsilon(1e-6));
      CHECK(c.figures.barrel_rate == Approx(250).epsilon(1e-6));
    }
}

TEST_CASE("thinning profile: pressure flow of a power law, n/(2n+1) h²/2 (h p'/2K)^(1/n), to 5e-4") {
  const double h = 0.004, gradient = 5e7, K = 20000;
  for (const double n : {0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0}) {
    const double exact = slit_flow(h, gradient, K, n);
    CAPTURE(n);
    CHECK(-solve({h, 0, gradient, 0}, power(K, n)).q_x == Approx(exact).epsilon(5e-4));
    CHECK(-solve({h, 0, gradient, 0}, power(K, n), 12).q_x == Approx(exact).epsilon(1.5e-4));
    const double rim = std::pow(h * gradient / (2 * K), 1 / n);
    CHECK(solve({h, 0, gradient, 0}, power(K, n)).figures.barrel_rate == Approx(rim).epsilon(1e-6));
  }
}

TEST_CASE("thinning profile: drag and pressure together, table of own reference integration") {
  struct Row {
    double n, P, q;
  };
  for (const Row& r : {Row{1, -2, 0.666667}, Row{1, 4, 0.166667}, Row{0.5, -2, 0.773540}, Row{0.5, 1, 0.340429},
                       Row{0.5, 2, 0.226460}, Row{0.5, 4, -0.059469}, Row{0.5, 6, -0.652496}, Row{0.3, -2, 0.846678},
                       Row{0.3, 1, 0.259580}, Row{0.3, 2, 0.153322}, Row{0.3, 4, -0.501450}, Row{0.3, 6, -3.165650},
                       Row{0.7, 4.522653, 0}, Row{0.3, 3.022024, 0}}) {
    CAPTURE(r.n);
    CAPTURE(r.P);
    const ColumnLoad load{.depth = 1, .speed = 1, .p_x = r.P, .p_z = 0};
    CHECK(std::abs(solve(load, power(1, r.n)).q_x - r.q) < 1e-3);
    CHECK(std::abs(solve(load, power(1, r.n), 12).q_x - r.q) < 4e-4);
  }
  const double stress[] = {-0.182268, 1, 1.457427, 1.817732, 2.490185, 3.331978}, P[] = {-2, 0, 1, 2, 4, 6};
  for (std::size_t i = 0; i < 6; ++i)
    CHECK(std::abs(solve({1, 1, P[i], 0}, power(1, 0.5)).wall_stress - stress[i]) < 2.5e-3);
}

TEST_CASE("thinning profile: a small gradient meets η along z and n η along x, where drag has set the rate") {
  const double n = 0.35, eta = std::pow(400, n - 1), small = 1e-3 * eta * 400 / 0.001;
  const Column still = solve({0.001, 0.4, 0, 0}, power(1, n)), across = solve({0.001, 0.4, 0, small}, power(1, n)),
               along = solve({0.001, 0.4, small, 0}, power(1, n));
  const double newtonian = 1e-9 / (12 * eta) * small;
  CHECK(-across.q_z == Approx(newtonian).epsilon(1e-4));
  CHECK(still.q_x - along.q_x == Approx(newtonian / n).epsilon(2e-3));
  CHECK(across.q_x == Approx(still.q_x).epsilon(1e-6));
}

TEST_CASE("thinning profile: without drag, flow follows the gradient in every direction alike") {
  const ThinningLaw law{.eta0 = 1e4, .lambda = 1, .n = 0.4};
  const Column along = solve({0.003, 0, 5e7, 0}, law);
  for (const double angle : {0.3, 1.0, 1.5707963267948966, 2.5, 4.0}) {
    const Column turned = solve({0.003, 0, 5e7 * std::cos(angle), 5e7 * std::sin(angle)}, law);
    CHECK(turned.q_x == Approx(along.q_x * std::cos(angle)).epsilon(1e-6));
    CHECK(turned.q_z == Approx(along.q_x * std::sin(angle)).epsilon(1e-6));
  }
}

TEST_CASE("thinning profile: seen from the other wall it is the same flow turned over") {
  const ThinningLaw law{.eta0 = 1e4, .lambda = 0.5, .n = 0.3};
  for (const double p_x : {-6e7, 1e7, 9e7}) {
    const ColumnLoad load{.depth = 0.003, .speed = 0.4, .p_x = p_x, .p_z = 3e7};
    const Column barrel = solve(load, law);
    const Column screw =
        solve({load.depth, -load.speed, load.p_x, load.p_z}, law);  // y from the screw, barrel moves with -U
    CAPTURE(p_x);
    CHECK(barrel.q_x - load.speed * load.depth == Approx(screw.q_x).epsilon(2e-6));
    CHECK(barrel.q_z == Approx(screw.q_z).epsilon(1e-6));
    CHECK(barrel.figures.dissipation == Approx(screw.figures.dissipation).epsilon(1e-6));
    // stress at the barrel: of the resting wall there, of the sliding one here
    const double at_rest_x = barrel.wall_stress - load.p_x * load.depth;
    const double of_pressure = (1 - barrel.drag / 2) * load.depth * load.p_z;
    CHECK(barrel.figures.barrel_rate == Approx(rate_at_stress(law, std::hypot(at_rest_x, of_pressure))).epsilon(1e-6));
    CHECK(screw.wall_stress == Approx(-at_rest_x).epsilon(1e-5));
  }
}

TEST_CASE("thinning profile: n = 1 is Newtonian, Carreau's law is so at small λ and a power law at large") {
  const ColumnLoad load{.depth = 0.003, .speed = 0.4, .p_x = 2e7, .p_z = 1e7};
  const auto same = [](const Column& a, const Column& b, double within) {
    CHECK(a.mobility == Approx(b.mobility).epsilon(within));
    CHECK(a.drag == Approx(b.drag).epsilon(within));
    CHECK(a.wall == Approx(b.wall).epsilon(within));
  };
  const Column newtonian = solve(load, {.eta0 = 1e3});
  same(solve(load, {.eta0 = 1e3, .lambda = 1, .n = 1}), newtonian, 1e-12);
  same(solve(load, power(1e3, 1 - 1e-7)), newtonian, 1e-5);
  same(solve(load, {.eta0 = 1e3, .lambda = 1e-7, .n = 0.3}), newtonian, 1e-6);
  const double lambda = 1e5, n = 0.4;
  same(solve(load, {.eta0 = 3e4 * std::pow(lambda, 1 - n), .lambda = lambda, .n = n}), solve(load, power(3e4, n)),
       1e-4);
}

TEST_CASE("thinning profile: what is dissipated is what the wall brings in less what pressure takes up") {
  for (const double n : {0.3, 0.5, 0.8})
    for (const double p_x : {-2e7, 0.0, 3e7}) {
      const ColumnLoad load{.depth = 0.003, .speed = 0.4, .p_x = p_x, .p_z = 1.5e7};
      const ThinningLaw law{.eta0 = 1e4, .lambda = 0.5, .n = n};
      const Column c = solve(load, law, 12);
      const double power = c.wall_stress * load.speed - c.q_x * load.p_x - c.q_z * load.p_z;
      CAPTURE(n);
      CAPTURE(p_x);
      CHECK(c.figures.dissipation == Approx(power).epsilon(1e-9));
      CHECK(c.figures.mean_rate <= c.figures.rms_rate);
    }
}

TEST_CASE("thinning profile: power of drag against pressure is that of the exact plane flow") {
  for (const double n : {0.3, 0.5, 0.7})
    for (const double P : {-2.0, 1.0, 3.0, 6.0}) {
      const PlaneFlow exact = plane_flow(P, n);
      CAPTURE(n);
      CAPTURE(P);
      CHECK(solve({1, 1, P, 0}, power(1, n)).figures.dissipation ==
            Approx(exact.wall_stress - exact.flow * P).epsilon(2e-3));
    }
}

TEST_CASE("thinning profile: mean and rms rate of a slit are those of its closed-form profile") {
  // |γ̇| = γ̇w |2s - 1|^(1/n): mean γ̇w n/(1 + n), mean square γ̇w² n/(2 + n)
  const double h = 0.004, gradient = 5e7, K = 20000;
  for (const double n : {0.3, 0.5, 0.8}) {
    const double rim = std::pow(h * gradient / (2 * K), 1 / n);
    const ColumnFigures figures = solve({h, 0, gradient, 0}, power(K, n), 12).figures;
    CHECK(figures.mean_rate == Approx(rim * n / (1 + n)).epsilon(3e-3));
    CHECK(figures.rms_rate == Approx(rim * std::sqrt(n / (2 + n))).epsilon(1e-3));
  }
}

TEST_CASE("thinning profile: thirty passes at fixed gradients settle n = 0.3 within 1e-4") {
  Film film({{0.003, 0.4, 8e7, 2e7}, {0.002, 0, 5e7, 0}, {0.001, 0.4, -1e8, 3e8}, {0.003, 0.1, 0, 1e6}});
  ThinningProfiles profiles(film.columns(), power(2e4, 0.3));
  for (int k = 0; k < 30; ++k) profiles.update(film.loads(), film.flow());
  const std::vector<double> thirtieth = film.mobility;
  for (int k = 0; k < 60; ++k) profiles.update(film.loads(), film.flow());
  CHECK(profiles.largest_change() < 1e-6);
  for (std::size_t i = 0; i < thirtieth.size(); ++i) CHECK(thirtieth[i] == Approx(film.mobility[i]).epsilon(1e-4));
}

TEST_CASE("thinning profile: a pass leaves 1 - n of the error") {
  for (const double n : {0.2, 0.3, 0.5, 0.7}) {
    Film film({{0.002, 0, 5e7, 0}});
    ThinningProfiles profiles(1, power(2e4, n));
    const int passes = static_cast<int>(std::log(1e-3) / std::log(1 - n));
    for (int k = 0; k < passes; ++k) profiles.update(film.loads(), film.flow());
    const double before = profiles.largest_change();
    profiles.update(film.loads(), film.flow());
    CAPTURE(n);
    CHECK(profiles.largest_change() / before == Approx(1 - n).epsilon(0.03));
  }
}

TEST_CASE("thinning profile: columns do not know of each other, whatever their number") {
  std::mt19937 random(3);
  std::uniform_real_distribution<double> number(-1, 1);
  const ThinningLaw law{.eta0 = 1e4, .eta_inf = 20, .lambda = 0.3, .yasuda = 0.8, .n = 0.3};
  for (const int columns : {1, 7, 8, 9, 21}) {
    std::vector<ColumnLoad> loads;
    for (int i = 0; i < columns; ++i)
      loads.push_back(
          {0.002 + 0.001 * number(random), 0.4 * number(random), 5e7 * number(random), 5e7 * number(random)});
    Film film(loads);
    ThinningProfiles profiles(columns, law);
    for (int k = 0; k < 100; ++k) profiles.update(film.loads(), film.flow());
    for (std::size_t i = 0; i < loads.size(); ++i) {
      const Column alone = solve(loads[i], law);
      CHECK(film.mobility[i] == alone.mobility);
      CHECK(film.drag[i] == alone.drag);
      CHECK(film.wall[i] == alone.wall);
    }
  }
}

TEST_CASE("thinning profile: the halves of an update make the whole, and a state can move to other columns") {
  const ThinningLaw law = power(1e4, 0.4);
  const std::vector<ColumnLoad> loads{{0.003, 0.4, 8e7, 2e7}, {0.002, 0, 5e7, 0}, {0.001, 0.4, -1e8, 3e8}};
  Film whole(loads), halves(loads), moved({loads[2], loads[0]});
  ThinningProfiles a(3, law), b(3, law), c(2, law);
  for (int k = 0; k < 5; ++k) {
    a.update(whole.loads(), whole.flow());
    std::vector<float> next(b.state().size());
    b.advance(halves.loads(), next);
    std::copy(next.begin(), next.end(), b.state().begin());
    b.flow(halves.flow());
  }
  CHECK(whole.mobility == halves.mobility);
  CHECK(whole.wall == halves.wall);
  c.start_from(a, std::vector<int>{2, 0});
  c.flow(moved.flow());
  CHECK(moved.mobility == std::vector<double>{whole.mobility[2], whole.mobility[0]});
}

TEST_CASE("thinning profile: mixed by Anderson it settles in fewer passes, at the same place") {
  const std::vector<ColumnLoad> loads{{0.003, 0.4, 8e7, 2e7}, {0.003, 0, 5e7, 0}, {0.002, 0.4, -5e7, 3e7}};
  const ThinningLaw law = power(2e4, 0.3);
  Film film(loads);
  ThinningProfiles profiles(film.columns(), law);
  AndersonMixing mixing(profiles.state().size(), 4);
  std::vector<float> next(profiles.state().size());
  const auto passes = [&](int n, bool mixed) {
    for (int k = 0; k < n; ++k) {
      profiles.advance(film.loads(), next);
      if (mixed) mixing.mix(profiles.state(), next);
      else std::copy(next.begin(), next.end(), profiles.state().begin());
    }
    profiles.flow(film.flow());
    double error = 0;
    for (std::size_t i = 0; i < loads.size(); ++i)
      error = std::max(error, std::abs(film.mobility[i] / solve(loads[i], law).mobility - 1));
    return error;
  };
  const double plain = passes(12, false);
  profiles = ThinningProfiles(film.columns(), law);
  const double mixed = passes(12, true);
  CHECK(mixed < 1e-4);
  CHECK(plain > 1e-2);
}

TEST_CASE("thinning law: a melt's viscosity at its temperature and pressure, every model") {
  const Viscosity melts[] = {
      newtonian(300),
      power_law(2e4, 1, 0.35),
      with_exponential(power_law(2000, 50, 0.33), 0.0086, 473),
      cross(1e4, 2e4, 0.3),
      cross_wlf(25000, 0.28, 4e14, 263, 2e-7, 30, 52),
      with_arrhenius(carreau_yasuda(1e4, 0, 1, 2, 0.4), 4e4, 473),
      with_arrhenius(carreau_yasuda(1e4, 5, 0.4, 0.7, 0.3), 4e4, 473),
  };
  for (const Viscosity& melt : melts)
    for (const double T : {440.0, 500.0})
      for (const double p : {0.0, 3e7})
        for (const double rate : {0.01, 1.0, 100.0, 1e4}) {
          const double eta = viscosity(melt, rate, T, p);
          CAPTURE(rate);
          CHECK(viscosity(thinning_law(melt, T, p), rate) == Approx(eta).epsilon(1e-8));
          CHECK(rate_at_stress(thinning_law(melt, T, p), eta * rate) == Approx(rate).epsilon(1e-7));
        }
  Viscosity flat = carreau_yasuda(70, 70, 1, 2, 0.4);
  CHECK(viscosity(thinning_law(flat, 473), 100) == Approx(70).epsilon(1e-12));
  CHECK(rate_at_stress(power(1, 0.3), 0) == 0);
}

TEST_CASE("thinning profile: closed gaps, rest, and what is no number give finite answers") {
  const double infinite = std::numeric_limits<double>::infinity(), none = std::numeric_limits<double>::quiet_NaN();
  std::vector<ColumnLoad> loads{{0.001, 0, 0, 0}};
  for (const double odd : {0.0, 1e-300, 1e300, -1.0, infinite, none})
    loads.insert(
        loads.end(),
        {{odd, 0.4, 1e7, 1e7}, {0.001, odd, 1e7, 0}, {0.001, 0.4, odd, 0}, {0.001, 0.4, 0, odd}, {odd, odd, odd, odd}});
  const auto finite = [](const std::vector<double>& values) {
    return std::all_of(values.begin(), values.end(), [](double x) { return std::isfinite(x); });
  };
  for (const ThinningLaw& law : {power(1e4, 0.2), ThinningLaw{.eta0 = 1e4, .eta_inf = 1, .lambda = 1, .n = 0.3},
                                 ThinningLaw{.eta0 = 1e4, .lambda = 1, .yasuda = 0.7, .n = 0.3}, ThinningLaw{}}) {
    Film film(loads);
    ThinningProfiles profiles(film.columns(), law);
    for (int k = 0; k < 40; ++k) profiles.update(film.loads(), film.flow());
    CHECK(finite(film.mobility));
    CHECK(finite(film.drag));
    CHECK(finite(film.wall));
    CHECK(std::isfinite(profiles.largest_change()));
    CHECK(film.wall[0] == Approx(viscosity(law, 0)).epsilon(1e-5));
    for (int i = 0; i < film.columns(); ++i) (void)profiles.figures(i, loads[static_cast<std::size_t>(i)]);
    CHECK(std::isfinite(profiles.figures(1, loads[1]).dissipation));  // h = 0
    CHECK(std::isfinite(profiles.figures(1, loads[1]).barrel_rate));
  }
  Film none_at_all({});
  ThinningProfiles profiles(0, power(1, 0.5));
  profiles.update(none_at_all.loads(), none_at_all.flow());
  CHECK(profiles.largest_change() == 0);
}
