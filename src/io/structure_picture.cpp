#include "io/structure_picture.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "io/report_numbers.hpp"
#include "io/structure_text.hpp"
#include "io/svg.hpp"

namespace quern {
namespace {

// the axis of line_picture
constexpr double width = 1000, left = 74, right = 14;
constexpr double head = 22, track_height = 92, track_gap = 38, foot = 34;

/// A scale over values or over their logarithms, with what stands beside it.
struct Axis {
  Scale scale{};
  bool logarithmic = false;
  double operator()(double v) const {
    return scale(logarithmic ? std::log10(std::max(v, std::pow(10.0, scale.from))) : v);
  }
  bool holds(double v) const { return std::isfinite(v) && (!logarithmic || v > 0); }
};

/// 1, 2, 5 times powers of ten; the powers alone over more than two decades.
std::vector<double> log_ticks(double from, double to) {
  std::vector<double> list;
  const bool all = to - from <= 2;
  const int each = std::max(1, static_cast<int>(std::ceil((to - from) / 6)));
  for (int power = static_cast<int>(std::floor(from)); power <= std::ceil(to); ++power)
    for (const double step : {1.0, 2.0, 5.0}) {
      if (step > 1 && !all) continue;
      if (!all && power % each != 0) continue;
      const double at = power + std::log10(step);
      if (at >= from - 1e-9 && at <= to + 1e-9) list.push_back(std::pow(10.0, at));
    }
  return list;
}

std::vector<double> ticks_of(const Axis& a, int count) {
  return a.logarithmic ? log_ticks(a.scale.from, a.scale.to) : ticks(a.scale.from, a.scale.to, count);
}

/// @param values in the unit shown
Axis axis_over(const std::vector<double>& values, bool logarithmic, double start, double end) {
  double low = 1e300, high = -1e300;
  for (const double v : values)
    if (std::isfinite(v) && (!logarithmic || v > 0)) low = std::min(low, v), high = std::max(high, v);
  if (low > high) low = high = 1;
  if (!logarithmic) return {{0, high > 0 ? high * 1.1 : 1, start, end}, false};
  const double a = std::log10(low), b = std::log10(high), room = std::max(0.08 * (b - a), 0.05);
  return {{std::max(a - room, b - 8), b + room, start, end}, true};
}

/// The figures of a model that share its track: those of the main one's unit and scale.
std::vector<const StructureFigure*> drawn(const StructureModel& m) {
  std::vector<const StructureFigure*> list;
  for (const StructureFigure& f : m.figures)
    if (f.unit == m.figures.front().unit && f.name != "vented" && list.size() < 3) list.push_back(&f);
  return list;
}

constexpr const char* line_of[] = {"main", "set", "film"};

void curve(Svg& svg, const Scale& x, const Axis& y, const Structure& s, const StructureFigure& f, const char* css) {
  std::vector<Dot> dots;
  const auto add = [&](double position, double value) {
    if (y.holds(value)) return dots.push_back({x(position), y(value)});
    svg.polyline(dots, css);
    dots.clear();
  };
  if (f.inlet) add(0, *f.inlet / f.one);
  for (std::size_t i = 0; i < std::min(f.along.size(), s.position.size()); ++i) add(s.position[i], f.along[i] / f.one);
  svg.polyline(dots, css);
}

/// P5 to P95 of the parcels at the end of the screw.
void whisker(Svg& svg, const Axis& y, const StructureFigure& f, double at) {
  if (!f.end) return;
  const double low = y(f.end->p5 / f.one), high = y(f.end->p95 / f.one), middle = y(f.end->p50 / f.one);
  svg.line({at, low}, {at, high}, "main");
  svg.line({at - 4, middle}, {at + 4, middle}, "main");
}

void zone_lines(Svg& svg, const Trial& trial, const Scale& x, double top) {
  double at = 0;
  svg.line({x(0), top}, {x(0), top + track_height}, "zone-line");
  for (const Zone& zone : trial.machine.zones) {
    at += zone.length;
    svg.line({x(at), top}, {x(at), top + track_height}, "zone-line");
  }
}

void key(Svg& svg, const std::vector<const StructureFigure*>& figures, double y) {
  double x = left;
  for (std::size_t i = 0; i < figures.size(); ++i) {
    svg.line({x, y - 3.5}, {x + 26, y - 3.5}, line_of[i]);
    svg.text({x + 31, y}, figures[i]->title, "tick");
    x += 46 + 5.2 * static_cast<double>(figures[i]->title.size());
  }
}

void model_track(Svg& svg, const Trial& trial, const Structure& s, const StructureModel& m, double top) {
  const Scale x{0, trial.machine.shaft_length, left, width - right};
  const auto figures = drawn(m);
  std::vector<double> values;
  for (const StructureFigure* f : figures) {
    if (f->inlet) values.push_back(*f->inlet / f->one);
    for (const double v : f->along) values.push_back(v / f->one);
    if (f->end) values.push_back(f->end->p5 / f->one), values.push_back(f->end->p95 / f->one);
  }
  const Axis y = axis_over(values, figures.front()->logarithmic, top + track_height, top);
  zone_lines(svg, trial, x, top);
  for (const double t : ticks_of(y, 4)) {
    svg.line({x.start, y(t)}, {x.end, y(t)}, "grid");
    svg.text({left - 6, y(t) + 3.5}, fmt::format("{:g}", t), "tick", "end");
  }
  svg.text({left - 68, top - 20}, fmt::format("{}, {}", m.title, figures.front()->unit), "track-title");
  svg.text({x.end, top - 20}, m.calibrated() ? fit(m.of, 400, 10) : "relative to another trial only", "level-name",
           "end");
  key(svg, figures, top - 7);
  for (std::size_t i = 0; i < figures.size(); ++i) curve(svg, x, y, s, *figures[i], line_of[i]);
  for (const StructureFigure* f : figures)
    if (f->end) {
      whisker(svg, y, *f, x.end - 3);
      break;
    }
}

void length_axis(Svg& svg, const Trial& trial, double y) {
  const Scale x{0, trial.machine.shaft_length, left, width - right};
  svg.line({x.start, y}, {x.end, y}, "axis");
  for (const double t : ticks(0, trial.machine.shaft_length * 1e3, 12)) {
    svg.line({x(t / 1e3), y}, {x(t / 1e3), y + 4}, "axis");
    svg.text({x(t / 1e3), y + 15}, fmt::format("{:g}", t), "tick", "middle");
  }
  svg.text({left - 6, y + 15}, "mm", "tick", "end");
}

Axis cell_axis(const std::vector<double>& edges, double unit, double start, double end) {
  return {{std::log10(edges.front() / unit), std::log10(edges.back() / unit), start, end}, true};
}

/// Shading that grows with the root, so that thin cells still show.
void cells(Svg& svg, const TreatmentCloud& c, const Axis& x, const Axis& y, double energy_unit) {
  const std::size_t columns = c.energy_edges.size() - 1;
  const double most = *std::ranges::max_element(c.share);
  for (std::size_t i = 0; i < c.share.size(); ++i) {
    if (c.share[i] <= 0) continue;
    const std::size_t row = i / columns, column = i % columns;
    const double x0 = x(c.time_edges[row]), x1 = x(c.time_edges[row + 1]);
    const double y0 = y(c.energy_edges[column] / energy_unit), y1 = y(c.energy_edges[column + 1] / energy_unit);
    svg.rect({x0, y1}, x1 - x0, y0 - y1, "cell",
             fmt::format("fill=\"#16181c\" fill-opacity=\"{:.2f}\"", 0.08 + 0.72 * std::sqrt(c.share[i] / most)));
  }
}

}  // namespace

std::string structure_tracks(const Trial& trial, const Structure& s) {
  if (s.models.empty()) return {};
  const double step = track_height + track_gap;
  Svg svg(width, head + static_cast<double>(s.models.size()) * step + foot - track_gap + 10,
          "Structure of the material along the line");
  double top = head + 8;
  for (const StructureModel& m : s.models) {
    model_track(svg, trial, s, m, top);
    top += step;
  }
  length_axis(svg, trial, top - track_gap + 2);
  return svg.str();
}

std::string treatment_chart(const Structure& s) {
  constexpr double w = 480, h = 330, x0 = 52, x1 = w - 62, y0 = h - 46, y1 = 34, kj = 1e3;
  Svg svg(w, h, "Time and energy of the parcels");
  const TreatmentCloud& c = s.cloud;
  if (c.time_edges.size() < 2 || c.energy_edges.size() < 2) return svg.str();
  const Axis x = cell_axis(c.time_edges, 1, x0, x1), y = cell_axis(c.energy_edges, kj, y0, y1);
  for (const double t : ticks_of(x, 5)) {
    svg.line({x(t), y0}, {x(t), y1}, "grid");
    svg.text({x(t), y0 + 14}, fmt::format("{:g}", t), "tick", "middle");
  }
  for (const double t : ticks_of(y, 5)) {
    svg.line({x0, y(t)}, {x1, y(t)}, "grid");
    svg.text({x0 - 6, y(t) + 3.5}, fmt::format("{:g}", t), "tick", "end");
  }
  cells(svg, c, x, y, kj);
  const EnsembleTreatment& t = s.treatment;
  for (const auto& [value, name] : {std::pair{t.time.p5, "P5"}, {t.time.p50, "P50"}, {t.time.p95, "P95"}}) {
    svg.line({x(value), y0}, {x(value), y1 - 4}, "level");
    svg.text({x(value), y1 - 8}, name, "level-name", "middle");
  }
  for (const auto& [value, name] : {std::pair{t.energy.p5, "P5"}, {t.energy.p50, "P50"}, {t.energy.p95, "P95"}}) {
    svg.line({x0, y(value / kj)}, {x1 + 4, y(value / kj)}, "level");
    svg.text({x1 + 7, y(value / kj) + 3.5}, fmt::format("{} {}", name, significant(value / kj)), "level-name");
  }
  svg.raw(fmt::format("<circle class=\"mark\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.5\"/>", x(t.time.mean),
                      y(t.energy.mean / kj)));
  svg.line({x0, y0}, {x1, y0}, "axis");
  svg.line({x0, y0}, {x0, y1}, "axis");
  svg.text({x1, y0 + 30}, "time in the machine, s", "tick", "end");
  svg.text({8, 12}, "energy, kJ/kg", "track-title");
  return svg.str();
}

}  // namespace quern
