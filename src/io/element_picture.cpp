#include "io/element_picture.hpp"

#include <algorithm>
#include <array>
#include <boost/math/constants/constants.hpp>
#include <cmath>
#include <fmt/format.h>

#include "io/chart_colour.hpp"
#include "io/contour.hpp"
#include "io/element_chart.hpp"
#include "io/element_map.hpp"
#include "io/page.hpp"
#include "io/report_numbers.hpp"
#include "io/svg.hpp"

namespace quern {
namespace {

using StripField = GridValues StripMap::*;

/// The three strips side by side, at one scale both ways.
struct Sheet {
  Svg& svg;
  const ElementMap& map;
  double diameter;  ///< [m]
  double left;      ///< where the first strip begins
  double scale;     ///< drawing units per diameter
  double tolerance;  ///< of curves, in drawing units

  static constexpr double between = 0.1;  ///< strips, in diameters
  std::array<const StripMap*, 3> strips() const { return {&map.bore_1, &map.bore_2, &map.nip}; }
  double start(std::size_t strip) const {
    const std::array at{0.0, map.bore_1.width + between, map.bore_1.width + map.bore_2.width + 2 * between};
    return left + scale * at[strip];
  }
  double height() const { return scale * map.length; }
  double mm() const { return 1e3 * diameter; }  ///< per diameter
};

/// Width of the three strips, in diameters.
double width_of(const ElementMap& map) {
  return map.bore_1.width + map.bore_2.width + map.nip.width + 2 * Sheet::between;
}

/// Too small to be seen.
bool is_speck(const std::vector<Dot>& dots, double size) {
  const auto [left_most, right_most] = std::ranges::minmax(dots, {}, &Dot::x);
  const auto [highest, lowest] = std::ranges::minmax(dots, {}, &Dot::y);
  return right_most.x - left_most.x < size && lowest.y - highest.y < size;
}

/// Outlines in diameters as paths of the drawing, y upwards from `bottom`.
std::string placed(const Sheet& s, std::size_t strip, double bottom, const std::vector<std::vector<Dot>>& lines,
                   bool closed) {
  std::string d;
  for (const auto& line : lines) {
    std::vector<Dot> dots;
    for (const Dot dot : line) dots.push_back({s.start(strip) + s.scale * dot.x, bottom - s.scale * dot.y});
    if (is_speck(dots, 10 * s.tolerance)) continue;
    dots = simplified(dots, s.tolerance);
    d += path_of(dots, closed);
  }
  return d;
}

/// A map's classes: values from levels[i - 1] to levels[i] have one colour, what lies beyond the ends one each.
struct Classes {
  std::vector<double> levels;
  std::size_t count() const { return levels.size() + 1; }
  std::string fill(std::size_t i) const {
    return fmt::format("fill=\"{}\"", colour_of((static_cast<double>(i) + 0.5) / static_cast<double>(count())));
  }
  Classes times(double factor) const {
    Classes scaled = *this;
    for (double& level : scaled.levels) level *= factor;
    return scaled;
  }
};

/// Each class is laid over the ones below it.
void draw_classes(Sheet& s, double top, StripField field, const Classes& classes, std::string_view css) {
  for (std::size_t strip = 0; strip < 3; ++strip) {
    const StripMap& m = *s.strips()[strip];
    s.svg.rect({s.start(strip), top}, s.scale * m.width, s.height(), "class", classes.fill(0));
    for (std::size_t i = 1; i < classes.count(); ++i) {
      const std::string d = placed(s, strip, top + s.height(), outlines_above(m.*field, classes.levels[i - 1]), true);
      if (!d.empty()) s.svg.path(d, css, classes.fill(i));
    }
  }
}

/// All values of a map, rising.
std::vector<double> sorted(const ElementMap& map, StripField field) {
  std::vector<double> all;
  for (const StripMap* m : {&map.bore_1, &map.bore_2, &map.nip})
    all.insert(all.end(), (m->*field).value.begin(), (m->*field).value.end());
  std::ranges::sort(all);
  return all;
}

/// Steps of a logarithmic scale as people count them, between the least and the most.
Classes logarithmic(double least, double most) {
  Classes classes;
  for (double decade = std::pow(10, std::floor(std::log10(least))); decade < most; decade *= 10)
    for (const double lead : {1.0, 1.5, 2.0, 3.0, 5.0, 7.0})
      if (lead * decade > least && lead * decade < most) classes.levels.push_back(lead * decade);
  return classes;
}

/// Even steps over all but the outermost fiftieth at either end: the peaks at the tips would leave the rest one colour.
Classes even(const std::vector<double>& rising, int count) {
  const std::size_t cut = rising.size() / 50;
  return {ticks(rising[cut], rising[rising.size() - 1 - cut], count)};
}

/// Classes as boxes, a number at each of their borders where there is room; right end at x.
void key(Svg& svg, double x, double y, const Classes& classes, std::string_view unit, double width) {
  const double w = width / static_cast<double>(classes.count()), from = x - width;
  for (std::size_t i = 0; i < classes.count(); ++i)
    svg.rect({from + static_cast<double>(i) * w, y}, w, 9, "class", classes.fill(i));
  svg.rect({from, y}, width, 9, "outline");
  double free_from = -1e9;
  for (std::size_t i = 0; i < classes.levels.size(); ++i) {
    const std::string words = fmt::format("{:.3g}", classes.levels[i] + 0.0);
    const double at = from + static_cast<double>(i + 1) * w, half = 3.0 * static_cast<double>(words.size());
    if (at - half < free_from) continue;
    svg.text({at, y + 19}, words, "tick", "middle");
    free_from = at + half + 4;
  }
  svg.text({from - 7, y + 8.5}, unit, "tick", "end");
}

/// Frames, names of the strips and millimetres both ways.
void draw_axes(Sheet& s, double top, bool names) {
  const std::array words{"bore of screw 1", "bore of screw 2", "nip"};
  for (std::size_t strip = 0; strip < 3; ++strip) {
    const double width = s.strips()[strip]->width, from = s.start(strip);
    s.svg.rect({from, top}, s.scale * width, s.height(), "outline");
    if (!names) continue;
    s.svg.text({from + s.scale * width / 2, top - 5}, words[strip], "tick", "middle");
    for (const double t : ticks(0, width * s.mm(), std::max(2, static_cast<int>(3 * width)))) {
      const double x = from + s.scale * t / s.mm();
      s.svg.line({x, top + s.height()}, {x, top + s.height() + 3}, "axis");
      s.svg.text({x, top + s.height() + 14}, fmt::format("{:g}", t), "tick", "middle");
    }
  }
  if (!names) return;
  for (const double t : ticks(0, s.map.length * s.mm(), 3)) {
    const double y = top + s.height() - s.scale * t / s.mm();
    s.svg.line({s.left - 3, y}, {s.left, y}, "axis");
    s.svg.text({s.left - 6, y + 3.5}, fmt::format("{:g}", t), "tick", "end");
  }
}

/// A head in the middle of a line, along it.
std::string arrow_head(const std::vector<Dot>& line, double size) {
  double length = 0, passed = 0;
  const auto step = [&](std::size_t i) { return std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y); };
  for (std::size_t i = 1; i < line.size(); ++i) length += step(i);
  if (length < 6 * size) return "";
  std::size_t i = 1;
  while (i + 1 < line.size() && passed + step(i) < length / 2) passed += step(i++);
  const double t = step(i) > 0 ? (length / 2 - passed) / step(i) : 0, ux = (line[i].x - line[i - 1].x) / step(i),
               uy = (line[i].y - line[i - 1].y) / step(i);
  const Dot at{std::lerp(line[i - 1].x, line[i].x, t), std::lerp(line[i - 1].y, line[i].y, t)};
  const auto corner = [&](double along, double aside) {
    return Dot{at.x + size * (along * ux - aside * uy), at.y + size * (along * uy + aside * ux)};
  };
  return path_of({corner(0.6, 0), corner(-0.6, 0.45), corner(-0.6, -0.45)}, true);
}

/// @returns V* between two lines
double draw_streamlines(Sheet& s, double top, int count, double head) {
  const std::vector<double> psi = sorted(s.map, &StripMap::stream), levels = ticks(psi.front(), psi.back(), count);
  std::string lines, heads;
  for (std::size_t strip = 0; strip < 3; ++strip)
    for (const double level : levels)
      for (const auto& line : contour_lines(s.strips()[strip]->stream, level)) {
        lines += placed(s, strip, top + s.height(), {line}, false);
        std::vector<Dot> dots;
        for (const Dot dot : line)
          dots.push_back({s.start(strip) + s.scale * dot.x, top + s.height() - s.scale * dot.y});
        heads += arrow_head(dots, head);
      }
  s.svg.path(lines, "stream"), s.svg.path(heads, "stream-head");
  return levels.size() > 1 ? levels[1] - levels[0] : 0;
}

/// On the bores, where the gap is less than half as much again as over the tip lands.
void draw_lands(Sheet& s, double top, double tip_gap) {
  for (std::size_t strip = 0; strip < 2; ++strip) {
    GridValues minus = s.strips()[strip]->gap;
    for (double& h : minus.value) h = -h;
    const std::string d = placed(s, strip, top + s.height(), outlines_above(minus, -1.5 * tip_gap), true);
    if (!d.empty()) s.svg.path(d, "tip-land");
  }
}

/// η N at the yardstick, in bar.
constexpr double bar_per_unit = Yardstick::viscosity * Yardstick::speed / 1e5;

/// Mean p* of the load that is shown, seen the way the element conveys.
double gradient_shown(const ElementFigures& e) {
  const Characteristics& c = e.flow.line;
  const double p = (c.A1 - shown_throughput(e)) / c.B;
  return e.mirrored ? -p : p;
}

std::string load_words(const ElementFigures& e) {
  if (std::abs(e.flow.line.A1) < 1e-6) return "turning, no pressure from end to end";
  return e.mirrored ? "half of A1 driven through against its sense" : "half of A1 conveyed against pressure";
}

constexpr int across = 256;  // cells round a lobe: finer than what can be seen

constexpr double width = 1000, left = 46, right = 14, first_map = 92, map_step = 82, key_width = 300;

/// What a map shows, and under it what belongs to its numbers.
void head(Sheet& s, double top, std::string_view title, std::string_view more) {
  s.svg.text({8, top - 26}, title, "track-title");
  s.svg.text({8, top - 13}, more, "tick");
}

void draw_gap(Sheet& s, double top) {
  const std::vector<double> gaps = sorted(s.map, &StripMap::gap);
  const Classes mm = logarithmic(gaps.front() * s.mm(), gaps.back() * s.mm());
  head(s, top, "Gap from wall to wall", "logarithmic steps");
  key(s.svg, width - right, top - 38, mm, "mm", key_width);
  draw_classes(s, top, &StripMap::gap, mm.times(1 / s.mm()), "class");
}

void draw_pressure(Sheet& s, double top, const ElementFigures& e) {
  std::vector<double> bar = sorted(s.map, &StripMap::pressure);
  for (double& p : bar) p *= bar_per_unit;
  const Classes classes = even(bar, 12);
  head(s, top, "Pressure over that at the lower end; " + load_words(e),
       fmt::format("at {}: {} to {} bar", Yardstick::words, significant(bar.front(), 2), significant(bar.back(), 2)));
  key(s.svg, width - right, top - 38, classes, "bar", key_width);
  draw_classes(s, top, &StripMap::pressure, classes.times(1 / bar_per_unit), "isobar");
}

void draw_flow(Sheet& s, double top, const ElementFigures& e, double speed) {
  draw_lands(s, top, e.solution->shape.tip_gap());
  const double D = s.diameter, ribbon = draw_streamlines(s, top, 40, 6);
  head(s, top, "Streamlines at the same load, seen from the turning screws",
       fmt::format("{} L/h at {:.0f} rpm between lines", significant(ribbon * speed * D * D * D * 3.6e6, 2),
                   speed * 60));
  s.svg.text({width - right, top - 26}, "grey: tip lands", "tick", "end");
}

void draw_maps(Sheet& s, const ElementFigures& e, double speed) {
  const double step = s.height() + map_step;
  draw_gap(s, first_map), draw_pressure(s, first_map + step, e), draw_flow(s, first_map + 2 * step, e, speed);
  for (int i = 0; i < 3; ++i) draw_axes(s, first_map + i * step, true);
}

void draw_charts(Svg& svg, const ElementFigures& e, double top) {
  throughput_chart(svg, e, {left, top, 420, 170});
  power_chart(svg, e, {560, top, 420, 170});
  const bool two = e.solution && e.solution->block;
  const std::string band = e.flow.basis == FlowBasis::given ? "As given in the project; no band is known."
                                                            : "Band: one sigma. Dot: the load the maps show.";
  svg.text({left, top + 216}, band + (two ? " Dashes: endless run. Dots: the block between open ends." : ""), "tick");
}

std::string title_of(const ElementFigures& e) { return "Element: " + describe(e.element); }

constexpr double charts_height = 250;

std::string lines_only(const ElementFigures& e, const Section&) {
  Svg svg(width, charts_height + 60, title_of(e));
  svg.text({8, 20}, describe(e.element), "picture-title");
  draw_charts(svg, e, 66);
  return svg.str();
}

}  // namespace

std::string element_picture(const ElementFigures& e, const Section& section, double speed) {
  if (!e.solution) return lines_only(e, section);
  constexpr double most_height = 330;
  const ElementMap map = element_map(e.solution->shape, e.mirrored, gradient_shown(e), across);
  const double scale = std::min((width - left - right) / width_of(map), most_height / map.length);
  const double charts_top = first_map + 3 * (scale * map.length + map_step) - 4;
  Svg svg(width, charts_top + charts_height - 20, title_of(e));
  svg.text({8, 20}, describe(e.element), "picture-title");
  svg.text(
      {8, 36},
      fmt::format("Bores and nip unwound, to scale, in mm; up: along the axis to the die; to the right: as the screws "
                  "turn. One instant, a tip of screw 1 pointing at screw 2 at the {} end{}.",
                  e.mirrored ? "upper" : "lower",
                  e.element.kind == ElementKind::conveying ? "; out of an endless run" : ""),
      "tick");
  Sheet s{svg, map, section.screw_diameter, left, scale, 0.2};
  draw_maps(s, e, speed);
  draw_charts(svg, e, charts_top);
  return svg.str();
}

std::string element_picture_file(const ElementFigures& e, const Section& section, double speed) {
  std::string svg = element_picture(e, section, speed);
  svg.insert(std::string_view("<svg ").size(), "xmlns=\"http://www.w3.org/2000/svg\" ");
  const std::size_t head = svg.find("<title>");
  return svg.insert(head,
                    "<style>" + picture_css() + "</style>\n<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n");
}

std::string element_thumbnail(const ElementFigures& e, const Section& section) {
  if (!e.solution) return "";
  constexpr double wide = 500, most_height = 150;
  const ElementMap map = element_map(e.solution->shape, e.mirrored, gradient_shown(e), across);
  const double scale = std::min((wide - 4) / width_of(map), most_height / map.length), height = scale * map.length;
  Svg svg(wide, 2 * height + 46, title_of(e));
  Sheet s{svg, map, section.screw_diameter, 2, scale, 0.3};
  const std::vector<double> gaps = sorted(map, &StripMap::gap);
  const Classes mm = logarithmic(gaps.front() * s.mm(), gaps.back() * s.mm());
  draw_classes(s, 1, &StripMap::gap, mm.times(1 / s.mm()), "class");
  draw_streamlines(s, 1, 12, 4);
  draw_axes(s, 1, false);
  key(svg, wide - 8, height + 4, mm, "gap, mm", 200);
  draw_classes(s, height + 27, &StripMap::pressure, even(sorted(map, &StripMap::pressure), 9), "isobar");
  draw_axes(s, height + 27, false);
  return svg.str();
}

}  // namespace quern
