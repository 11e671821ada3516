#include "machine/solve.hpp"

namespace quern {

std::span<const StopReason> stop_reasons() {
  static constexpr StopReason list[] = {
      {"feed floods", "the feed element cannot take the stock that the feeders bring",
       "a smaller feed, a higher screw speed, a larger lead under the feed port, or a denser feed"},
      {"screw floods", "an element downstream cannot carry the granules that arrive",
       "a smaller feed, a higher screw speed, or a larger lead there"},
      {"feed port floods", "melt backs up as far as the feed port",
       "less restriction, a smaller feed, a higher screw speed, or a wider die"},
      {"vent floods", "melt stands under an open vent",
       "less restriction downstream, a wider die, a smaller feed, a higher screw speed, or the vent elsewhere"},
      {"side feed floods", "melt stands under the side feed's opening",
       "less restriction downstream, a wider die, a smaller feed, a higher screw speed"},
      {"unmelted at the die", "the stock arrives at the die as granules",
       "hotter zones, more kneading, a smaller feed, or an open end"},
      {"runaway heating", "dissipation outruns what the barrel removes: the stock leaves the range of the heat data",
       "a lower speed, a milder screw, a larger feed, colder zones"},
      {"pressure beyond any machine", "the pressure needed exceeds 5000 bar",
       "a wider die, a hotter melt, less restriction, a smaller feed"},
      {"line solver", "pressure, fill and temperature did not settle",
       "more cells or iterations in [numerics]; a small change of feed or speed"},
  };
  return list;
}

}  // namespace quern
