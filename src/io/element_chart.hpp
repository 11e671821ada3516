#pragma once
#include "io/element_figures.hpp"
#include "io/svg.hpp"
namespace quern {

/// Where a chart lies on a drawing.
struct ChartBox {
  double left = 0, top = 0, width = 0, height = 0;
};

/// V* against p*, with the band of one sigma; dashes: an endless run, dots: the block between open ends, where they are
/// known apart. The dot is the load that the maps show.
void throughput_chart(Svg& svg, const ElementFigures& e, const ChartBox& box);
/// P* against V*, likewise.
void power_chart(Svg& svg, const ElementFigures& e, const ChartBox& box);

/// V* that the maps show: half of A1; a reverse element has as much driven through it against its sense.
double shown_throughput(const ElementFigures& e);

}  // namespace quern
