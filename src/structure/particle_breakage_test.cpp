#include "structure/particle_breakage.hpp"

#include <cmath>
#include <doctest/doctest.h>

using namespace quern;
using doctest::Approx;

namespace {

// Top sizes 1, 0.5, 0.25, 0.125, 0.0625 mm, the last the sink; S = 0.5 x^0.8 (x in mm), B with 0.6, 0.7, 3.5 taken at
// the upper end of the fragment's class over the lower end of the parent's. In classes 4 to 0.
BreakageRates five_sizes() {
  BreakageRates rates;
  for (int j = 1; j <= 4; ++j) {
    rates.selection[j] = 0.5 * std::pow(std::ldexp(1.0, j - 4), 0.8);
    for (int i = 0; i < j; ++i) {
      const double below = i == 0 ? 0.0 : finer_than({}, std::ldexp(1.0, i - j));
      rates.fragments[j][i] = finer_than({}, std::ldexp(1.0, i + 1 - j)) - below;
    }
  }
  return rates;
}
const Selection first_order{0.5, 1};        // k = 0.5, a = 1, x in mm
const Fragments proportional{1.0, 1.0, 1};  // B = x/y

}  // namespace

TEST_CASE("fragments: B with 0.6, 0.7, 3.5 gives 0.595301, 0.174216, 0.090251, 0.140231 in halving classes") {
  const auto b = five_sizes().fragments[4];
  CHECK(b[3] == Approx(0.595301).epsilon(1e-6));
  CHECK(b[2] == Approx(0.174216).epsilon(3e-6));
  CHECK(b[1] == Approx(0.090251).epsilon(6e-6));
  CHECK(b[0] == Approx(0.140231).epsilon(4e-6));
}
TEST_CASE("breakage: five classes at four times as by Reid's form (1965), Chem. Eng. Sci. 20, 953") {
  const Breakage breakage(five_sizes());
  PerSize feed{};
  feed[4] = 0.6, feed[3] = 0.3, feed[2] = 0.1;
  const double table[4][6] = {{1, 0.363918, 0.345825, 0.174528, 0.049119, 0.066610},
                              {2, 0.220728, 0.332715, 0.224776, 0.092224, 0.129557},
                              {5, 0.049251, 0.202129, 0.266239, 0.183293, 0.299088},
                              {10, 0.004043, 0.058821, 0.184732, 0.228733, 0.523671}};
  for (const auto& row : table) {
    CAPTURE(row[0]);
    const PerSize mass = breakage.after(feed, row[0]);
    for (int i = 0; i < 5; ++i) CHECK(std::fabs(mass[4 - i] - row[i + 1]) < 0.6e-6);
  }
}
TEST_CASE("breakage: with S = k x and B = x/y coarse feed becomes Rosin-Rammler with x63 = 1/(k t), any class end") {
  const Breakage breakage(breakage_rates(first_order, proportional));
  for (const double t : {0.001, 1.0, 5.0, 300.0}) {
    const PerSize mass = breakage.after(single_size(1), t);
    double finer = 0;
    for (int i = 0; i + 1 < size_classes; ++i) {
      CAPTURE(t);
      CAPTURE(i);
      finer += mass[i];
      const double x = upper_size(i) * 1e3;
      const double coarser_at_feed = std::exp(-0.5 * t * x);  // feed in the last class: coarser than every end but one
      CHECK(finer == Approx(1 - coarser_at_feed).epsilon(1e-10));
    }
  }
}
TEST_CASE("breakage: 0.393469, 0.221199, 0.117503 finer than 1, 0.5, 0.25 mm at k t = 0.5 1/mm") {  // 1 - exp(-k t x)
  const Breakage breakage(breakage_rates(first_order, proportional));
  const PerSize one = breakage.after(single_size(1), 1), five = breakage.after(single_size(1), 5);
  CHECK(passing(one, 1e-3) == Approx(0.393469).epsilon(2e-6));
  CHECK(passing(one, 0.5e-3) == Approx(0.221199).epsilon(4e-6));
  CHECK(passing(one, 0.25e-3) == Approx(0.117503).epsilon(5e-6));
  CHECK(passing(one, 0.1e-3) == Approx(0.048771).epsilon(2e-3));  // between class ends
  CHECK(passing(five, 1e-3) == Approx(0.917915).epsilon(2e-6));
  CHECK(passing(five, 0.25e-3) == Approx(0.464739).epsilon(2e-6));
  CHECK(passing(five, 0.1e-3) == Approx(0.221199).epsilon(2e-3));
  CHECK(passing(five, 0.4e-3) == Approx(1 - std::exp(-1.0)).epsilon(2e-3));  // x63
}
TEST_CASE("breakage: two exposures in a row are one of their sum") {  // semigroup
  const Breakage breakage(breakage_rates({5e-6, 0.8}, {}));
  const PerSize once = breakage.after(single_size(3e-3), 734e3);
  const PerSize twice = breakage.after(breakage.after(single_size(3e-3), 211e3), 523e3);
  for (int i = 0; i < size_classes; ++i) CHECK(std::fabs(once[i] - twice[i]) < 1e-14);
}
TEST_CASE("breakage: mass is kept to round-off and nothing turns negative, from no energy to any") {
  const Breakage breakage(breakage_rates({5e-6, 0.8, 5e-3, 3}, {}));
  const PerSize feed = rosin_rammler(2e-3, 1.5);
  for (const double energy : {0.0, 1e-300, 1e-3, 1.0, 1e4, 1e6, 1e9, 1e15, 1e308}) {
    CAPTURE(energy);
    const PerSize mass = breakage.after(feed, energy);
    CHECK(std::fabs(total(mass) - total(feed)) < 1e-14);
    for (const double m : mass) CHECK(m >= 0);
  }
  CHECK(breakage.after(feed, 0) == feed);
  CHECK(breakage.after(feed, 1e308)[0] == Approx(1).epsilon(1e-9));  // all as fine as the classes know
}
TEST_CASE("breakage: equal rates need no care: two classes in series follow S t exp(-S t)") {  // Bateman, equal rates
  BreakageRates rates;
  rates.selection[2] = rates.selection[1] = 1;
  rates.fragments[2][1] = rates.fragments[1][0] = 1;
  PerSize feed{};
  feed[2] = 1;
  const PerSize mass = Breakage(rates).after(feed, 1.7);
  CHECK(mass[1] == Approx(1.7 * std::exp(-1.7)).epsilon(1e-12));
  CHECK(mass[2] == Approx(std::exp(-1.7)).epsilon(1e-14));
}
TEST_CASE("breakage: where nothing breaks nothing changes") {
  const PerSize feed = rosin_rammler(1e-3, 1);
  CHECK(Breakage(BreakageRates{}).after(feed, 1e9) == feed);
}
TEST_CASE("selection: particles too large to be nipped break less readily than smaller ones (Austin et al. 1984)") {
  const Selection s{1e-6, 1, 2e-3, 3};
  CHECK(selection(s, 8e-3) < selection(s, 2e-3));
  CHECK(selection(s, 2e-3) == Approx(0.5 * 2e-6).epsilon(1e-12));
  CHECK(selection({1e-6, 0.8}, 1e-3) == Approx(1e-6).epsilon(1e-12));
}
