#include "io/line_picture.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

#include "geometry/port_opening.hpp"
#include "io/chart_colour.hpp"
#include "io/report_numbers.hpp"
#include "io/svg.hpp"
#include "io/svg_screw.hpp"

namespace quern {
namespace {

constexpr double width = 1000, left = 74, right = 14, inner = width - left - right;
constexpr double zone_height = 46, gap = 14, track_height = 92, track_gap = 31;

/// The drawing and its shared axis along the machine.
struct Sheet {
  Svg& svg;
  const Trial& trial;
  Scale x;
  double scale() const { return (x.end - x.start) / (x.to - x.from); }  ///< units per metre
};

double draw_zones(Sheet& s, double top) {
  double at = 0;
  for (std::size_t i = 0; i < s.trial.machine.zones.size(); ++i) {
    const Zone& zone = s.trial.machine.zones[i];
    const double from = s.x(at), to = s.x(at + zone.length), w = to - from, middle = 0.5 * (from + to);
    s.svg.rect({from, top + 12}, w, zone_height - 12, "zone");
    s.svg.text({middle, top + 26}, fit(zone.name, w - 4, 11), "zone-name", "middle");
    if (i < s.trial.zone_temperature.size())
      s.svg.text({middle, top + 39}, fit(fmt::format("{:.0f} °C", s.trial.zone_temperature[i] - 273.15), w, 10),
                 "zone-set", "middle");
    at += zone.length;
  }
  for (const PortOpening& opening : port_openings(s.trial.machine.zones, s.trial.machine.section.screw_diameter)) {
    const char* name = opening.port == Port::feed ? "feed" : opening.port == Port::vent ? "vent" : "side feed";
    const double a = s.x(opening.place.from), b = s.x(opening.place.to);
    s.svg.line({a, top + 12}, {b, top + 12}, "port");
    s.svg.text({0.5 * (a + b), top + 8}, name, "port-name", "middle");
  }
  return top + zone_height;
}

/// Crosswise magnification: whole or half, so that both screws take about the same room on any machine.
double stretch_of(const Trial& trial) {
  const double true_height = 2 * bore_half_width(trial.machine.section) * inner / trial.machine.shaft_length;
  return std::clamp(std::round(2 * 96 / true_height) / 2, 1.0, 3.0);
}

double screws_height(const Trial& trial) {
  return 2 * bore_half_width(trial.machine.section) * stretch_of(trial) * inner / trial.machine.shaft_length;
}

/// Lengths that stand full, marked on the barrel's edge for print without colour.
void mark_full(Sheet& s, const ProfileTable& p, double top) {
  const auto full = [&](std::size_t cell) { return p.fill[cell] > 0.995; };
  for (std::size_t i = 1; i < p.position.size();) {
    std::size_t j = i;
    while (j + 1 < p.position.size() && full(j + 1) == full(i)) ++j;
    const double from = s.x(p.position[i - 1]);
    if (full(i)) s.svg.rect({from, top}, s.x(p.position[j]) - from, 4, "full-mark");
    i = j + 1;
  }
}

double draw_screws(Sheet& s, const LineState* state, double top) {
  const double height = screws_height(s.trial), across = s.scale() * stretch_of(s.trial);
  s.svg.rect({s.x.start, top}, inner, height, "bore");
  const ScrewFrame frame{0, s.trial.machine.shaft_length, s.x.start, s.x.end, top + height / 2, across};
  draw_screw(s.svg, s.trial, frame, state ? &state->profile : nullptr,
             state ? colour_range(state->profile) : ColourRange{});
  s.svg.rect({s.x.start, top}, inner, height, "wall");
  if (state) mark_full(s, state->profile, top + height + 1);
  return top + height + 5;
}

void zone_lines(Sheet& s, double top, double bottom) {
  double at = 0;
  for (const Zone& zone : s.trial.machine.zones) {
    s.svg.line({s.x(at), top}, {s.x(at), bottom}, "zone-line");
    at += zone.length;
  }
  s.svg.line({s.x(at), top}, {s.x(at), bottom}, "zone-line");
}

/// One track: frame, title, ticks; the marks are drawn by the caller with the scale it returns.
Scale track(Sheet& s, double top, std::string_view title, double from, double to, std::string_view unit) {
  const Scale y{from, to, top + track_height, top};
  zone_lines(s, top, top + track_height);
  for (const double t : ticks(from, to, 4)) {
    s.svg.line({s.x.start, y(t)}, {s.x.end, y(t)}, "grid");
    s.svg.text({left - 6, y(t) + 3.5}, fmt::format("{:g}", t), "tick", "end");
  }
  s.svg.text({left - 68, top - 10}, fmt::format("{}, {}", title, unit), "track-title");
  return y;
}

void curve(Sheet& s, const Scale& y, const std::vector<double>& x, const std::vector<double>& v, double factor,
           double shift, std::string_view css) {
  std::vector<Dot> dots;
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (!std::isfinite(v[i])) {
      s.svg.polyline(dots, css);
      dots.clear();
      continue;
    }
    dots.push_back({s.x(x[i]), y(v[i] * factor + shift)});
  }
  s.svg.polyline(dots, css);
}

void area(Sheet& s, const Scale& y, const std::vector<double>& x, const std::vector<double>& v, double factor,
          std::string_view css) {
  std::vector<Dot> dots{{s.x(x.front()), y(y.from)}};
  for (std::size_t i = 0; i < x.size(); ++i) dots.push_back({s.x(x[i]), y(v[i] * factor)});
  dots.push_back({s.x(x.back()), y(y.from)});
  s.svg.path(path_of(dots, true), css);
}

void level(Sheet& s, const Scale& y, double value, std::string_view words) {
  if (value < y.from || value > y.to) return;
  s.svg.line({s.x.start, y(value)}, {s.x.end, y(value)}, "level");
  s.svg.text({s.x.start + 4, y(value) - 3}, words, "level-name");
}

/// What each element adds, as bars on the axis of the running total.
void element_bars(Sheet& s, const Scale& y, const std::vector<ElementState>& elements, double ElementState::* what,
                  double factor) {
  std::string bars;
  for (const ElementState& e : elements) {
    const double a = s.x(e.from) + 0.4, b = s.x(e.to) - 0.4, h = y(e.*what * factor), foot = y(y.from);
    if (foot - h > 0.3 && b > a) bars += path_of({{a, foot}, {a, h}, {b, h}, {b, foot}}, true);
  }
  s.svg.path(bars, "bars");
}

double top_of(double most) {
  const std::vector<double> t = ticks(0, std::max(most, 1e-9) * 1.05, 3);
  return t.empty() ? 1 : std::max(most * 1.08, t.back());
}

double largest(const std::vector<double>& v) { return *std::max_element(v.begin(), v.end()); }

/// The three lines of the temperature track by name, beside its title.
void temperature_key(Sheet& s, double y) {
  double x = left + 150;
  for (const auto& [css, words, room] : {std::tuple{"main", "stock, mean", 100.0},
                                         {"set", "set points", 95.0},
                                         {"film", "film of granules under a tip", 180.0}}) {
    s.svg.line({x, y - 3.5}, {x + 26, y - 3.5}, css);
    s.svg.text({x + 31, y}, words, "tick");
    x += room;
  }
}

void temperature_track(Sheet& s, const LineState& state, double top) {
  const ProfileTable& p = state.profile;
  double low = 1e9, high = -1e9;
  for (const auto* v : {&p.temperature, &p.wall_temperature, &p.film_temperature})
    for (const double T : *v) low = std::min(low, T - 273.15), high = std::max(high, T - 273.15);
  double melts = 0, softens = 1e9;
  for (const Feed& f : s.trial.feeds)
    if (f.material.state == State::melting)
      melts = std::max(melts, f.material.thermal.T_melt - 273.15),
      softens = std::min(softens, f.material.solid.softening - 273.15);
  const double room = 0.06 * (high - low) + 4;
  const Scale y = track(s, top, "Temperature", low - room, high + room, "°C");
  if (melts > 0) level(s, y, melts, "melts"), level(s, y, softens, "softens");
  std::vector<double> sx, sy;  // set points as steps
  double at = 0;
  for (std::size_t i = 0; i < s.trial.machine.zones.size(); ++i) {
    sx.push_back(at), sy.push_back(s.trial.zone_temperature[i]);
    at += s.trial.machine.zones[i].length;
    sx.push_back(at), sy.push_back(s.trial.zone_temperature[i]);
  }
  curve(s, y, sx, sy, 1, -273.15, "set");
  curve(s, y, p.position, p.film_temperature, 1, -273.15, "film");
  curve(s, y, p.position, p.temperature, 1, -273.15, "main");
  temperature_key(s, top - 10);
}

void axis(Sheet& s, double y) {
  const double length = s.trial.machine.shaft_length, D = s.trial.machine.section.screw_diameter;
  s.svg.line({s.x.start, y}, {s.x.end, y}, "axis");
  for (const double t : ticks(0, length * 1e3, 12)) {
    s.svg.line({s.x(t / 1e3), y}, {s.x(t / 1e3), y + 4}, "axis");
    s.svg.text({s.x(t / 1e3), y + 15}, fmt::format("{:g}", t), "tick", "middle");
  }
  s.svg.text({left - 6, y + 15}, "mm", "tick", "end");
  for (const double t : ticks(0, length / D, 12))
    s.svg.text({s.x(t * D), y + 28}, fmt::format("{:g}", t), "tick", "middle");
  s.svg.text({left - 6, y + 28}, "D", "tick", "end");
}

void colour_bar(Svg& svg, double x, double y, double low, double high) {
  constexpr int n = 40;
  constexpr double w = 3;
  for (int i = 0; i < n; ++i)
    svg.rect({x + i * w, y}, w + 0.2, 8, "stock", fmt::format("fill=\"{}\"", colour_of((i + 0.5) / n)));
  svg.text({x - 5, y + 8}, fmt::format("stock {:.0f} °C", low - 273.15), "tick", "end");
  svg.text({x + n * w + 5, y + 8}, fmt::format("{:.0f} °C", high - 273.15), "tick");
}

}  // namespace

std::string line_picture(const Trial& trial, const LineState& state) {
  const double screws = screws_height(trial);
  const double tracks_top = zone_height + screws + 58, height = tracks_top + 6 * (track_height + track_gap) + 34;
  Svg svg(width, height, "The line: zones, screws, and the stock along them");
  Sheet s{svg, trial, {0, trial.machine.shaft_length, left, width - right}};
  const ProfileTable& p = state.profile;
  const ColourRange range = colour_range(p);
  const double below = draw_screws(s, &state, draw_zones(s, 0));
  colour_bar(svg, width - right - 170, below + 8, range.low, range.high);
  svg.text(
      {left, below + 15},
      fmt::format("Lengthways to scale, crosswise {:g} times larger. Stock lies against the pushing flank, as wide as "
                  "the fill; black edge: full.",
                  stretch_of(trial)),
      "tick");

  double top = tracks_top;
  const double step = track_height + track_gap;
  temperature_track(s, state, top);
  top += step;
  {
    const Scale y = track(s, top, "Melt pressure", 0, top_of(std::max(largest(p.pressure) / 1e5, 1.0)), "bar");
    area(s, y, p.position, p.pressure, 1e-5, "shade"), curve(s, y, p.position, p.pressure, 1e-5, 0, "main");
  }
  top += step;
  {
    const Scale y = track(s, top, "Fill", 0, 100, "% of the free volume");
    area(s, y, p.position, p.fill, 100, "shade"), curve(s, y, p.position, p.fill, 100, 0, "main");
  }
  top += step;
  {
    const Scale y = track(s, top, "State", 0, 100, "% of the polymer molten");
    area(s, y, p.position, p.melt_fraction, 100, "hatch"), curve(s, y, p.position, p.melt_fraction, 100, 0, "main");
    if (p.melt_fraction.front() < 0.5) svg.text({left + 6, top + track_height - 6}, "granules", "level-name");
    if (p.melt_fraction.back() > 0.5) svg.text({width - right - 6, top + 14}, "melt", "level-name", "end");
  }
  top += step;
  {
    const Scale y = track(s, top, "Specific energy from the feed (bars: in each element)", 0,
                          top_of(p.specific_energy.back() / 1e3), "kJ/kg");
    element_bars(s, y, state.elements, &ElementState::specific_energy, 1e-3);
    curve(s, y, p.position, p.specific_energy, 1e-3, 0, "main");
    svg.text({width - right - 4, y(p.specific_energy.back() / 1e3) - 4}, energy_both(p.specific_energy.back()),
             "end-value", "end");
  }
  top += step;
  {
    const Scale y =
        track(s, top, "Residence time from the feed (bars: in each element)", 0, top_of(p.residence_time.back()), "s");
    element_bars(s, y, state.elements, &ElementState::residence_time, 1);
    curve(s, y, p.position, p.residence_time, 1, 0, "main");
    svg.text({width - right - 4, y(p.residence_time.back()) - 4}, significant(p.residence_time.back()) + " s",
             "end-value", "end");
  }
  axis(s, top + track_height);
  return svg.str();
}

std::string build_picture(const Trial& trial) {
  const double screws = screws_height(trial);
  Svg svg(width, zone_height + screws + 56, "The build: zones, ports and screws");
  Sheet s{svg, trial, {0, trial.machine.shaft_length, left, width - right}};
  const double below = draw_screws(s, nullptr, draw_zones(s, 0));
  const std::vector<Placed> places = placement(trial.screw);
  double free_from = -1e9;
  for (std::size_t i = 0; i < places.size(); ++i) {
    const std::string number = fmt::format("{}", i + 1);
    const double at = s.x(0.5 * (places[i].from + places[i].to)), half = 3.0 * static_cast<double>(number.size());
    if (at - half < free_from) continue;
    svg.text({at, below + 10}, number, "tick", "middle");
    free_from = at + half + 3;
  }
  axis(s, below + 16);
  return svg.str();
}

std::string residence_chart(const LineState& state) {
  constexpr double w = 480, h = 262, x0 = 44, x1 = w - 40, y0 = 224, top = 66;
  Svg svg(w, h, "Residence time distribution");
  const Residence& r = state.residence;
  const Summary& m = state.summary;
  if (r.time.size() < 2) return svg.str();
  const double end = std::min(r.time.back(), m.washout_99 * 1.12), peak = largest(r.density);
  const Scale x{0, end, x0, x1}, e{0, peak * 1.1, y0, top}, f{0, 1.1, y0, top};
  for (const double t : ticks(0, end, 6)) {
    svg.line({x(t), top}, {x(t), y0}, "grid");
    svg.text({x(t), y0 + 14}, fmt::format("{:g}", t), "tick", "middle");
  }
  svg.text({x1, y0 + 30}, "time since the feed, s", "tick", "end");
  std::vector<Dot> density{{x(0), y0}}, cumulative;
  for (std::size_t i = 0; i < r.time.size() && r.time[i] <= end; ++i)
    density.push_back({x(r.time[i]), e(r.density[i])}), cumulative.push_back({x(r.time[i]), f(r.cumulative[i])});
  density.push_back({density.back().x, y0});
  svg.path(path_of(density, true), "shade");
  svg.polyline(std::vector<Dot>(density.begin() + 1, density.end() - 1), "main");
  svg.polyline(cumulative, "set");
  for (const double v : ticks(0, peak, 3)) svg.text({x0 - 5, e(v) + 3}, fmt::format("{:g}", v), "tick", "end");
  for (const double v : {0.0, 0.5, 1.0}) svg.text({x1 + 5, f(v) + 3}, fmt::format("{:g}", v), "tick");
  svg.line({x0, y0}, {x1, y0}, "axis");
  svg.text({x0 - 5, top - 2}, "E, 1/s", "tick", "end");
  svg.text({x1 + 5, top - 2}, "F", "tick");
  double label = 10;  // names of the marks one under the other, each on its own line
  const auto mark = [&](double t, const char* name) {
    const bool right_half = t > 0.6 * end;
    svg.line({x(t), y0}, {x(t), label - 7}, "level");
    svg.text({x(t) + (right_half ? -4 : 4), label}, fmt::format("{} {} s", name, significant(t)), "level-name",
             right_half ? "end" : "start");
    label += 13;
  };
  mark(m.first_out_time, "first out (1 %)"), mark(m.mean_residence_time, "mean");
  mark(m.washout_95, "95 % out"), mark(m.washout_99, "99 % out");
  return svg.str();
}

}  // namespace quern
