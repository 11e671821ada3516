#include "io/element_chart.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>
#include <utility>

namespace quern {
namespace {

struct Span {
  double from = 0, to = 0;
};

/// What a working element sees: from closed to half as much again as passes freely; reverse ones up to as much driven
/// through as they would convey; neutral ones a little either way.
Span throughputs(const ElementFigures& e) {
  const double A1 = e.flow.line.A1;
  if (std::abs(A1) < 1e-6) return {-0.1, 0.1};
  return A1 > 0 ? Span{-0.1 * A1, 1.5 * A1} : Span{1.1 * A1, -A1};
}

double gradient(const Characteristics& c, double V) { return (c.A1 - V) / c.B; }
double power(const Characteristics& c, double V) { return c.P0 - c.P1 * V; }

/// A curve over the abscissa and its spread, one sigma.
struct Curve {
  std::function<double(double)> value, sigma;
};

struct Axes {
  Span x, y;
  const char *x_name, *y_name;
};

class Chart {
 public:
  Chart(Svg& svg, const ChartBox& box, const Axes& axes)
      : svg_(svg),
        x_{axes.x.from, axes.x.to, box.left, box.left + box.width},
        y_{axes.y.from, axes.y.to, box.top + box.height, box.top} {
    for (const double t : ticks(axes.x.from, axes.x.to, 6)) {
      svg_.line({x_(t), y_.start}, {x_(t), y_.end}, t == 0 ? "axis" : "grid");
      svg_.text({x_(t), y_.start + 14}, fmt::format("{:g}", t), "tick", "middle");
    }
    for (const double t : ticks(axes.y.from, axes.y.to, 5)) {
      svg_.line({x_.start, y_(t)}, {x_.end, y_(t)}, t == 0 ? "axis" : "grid");
      svg_.text({x_.start - 6, y_(t) + 3.5}, fmt::format("{:g}", t), "tick", "end");
    }
    svg_.text({x_.end, y_.start + 29}, axes.x_name, "tick", "end");
    svg_.text({x_.start - 34, y_.end - 9}, axes.y_name, "track-title");
  }

  void band(const Curve& c) {
    std::vector<Dot> upper, lower;
    for (int i = 0; i <= steps; ++i) {
      const double at = x_.from + (x_.to - x_.from) * i / steps;
      upper.push_back(dot(at, c.value(at) + c.sigma(at))), lower.push_back(dot(at, c.value(at) - c.sigma(at)));
    }
    upper.insert(upper.end(), lower.rbegin(), lower.rend());
    svg_.path(path_of(upper, true), "shade");
  }
  void line(const std::function<double(double)>& value, std::string_view css) {
    svg_.polyline({dot(x_.from, value(x_.from)), dot(x_.to, value(x_.to))}, css);
  }
  void mark(double x, double y) {
    const Dot at = dot(x, y);
    svg_.raw(fmt::format("<circle class=\"mark\" cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"3.4\"/>\n", at.x, at.y));
  }

 private:
  static constexpr int steps = 24;
  Dot dot(double x, double y) const { return {x_(x), y_(y)}; }

  Svg& svg_;
  Scale x_, y_;
};

/// Lines of one kind: the one the line model uses with its band, and those it lies between.
struct Family {
  Curve used;
  std::vector<std::function<double(double)>> others;
};

template <class Of>
Family family(const ElementFigures& e, const Of& of, std::function<double(double)> sigma) {
  Family f{{[of, c = e.flow.line](double x) { return of(c, x); }, std::move(sigma)}, {}};
  if (e.solution && e.solution->block)
    for (const Characteristics& line : {e.solution->line, *e.solution->block})
      f.others.emplace_back([of, c = as_built(line, e.mirrored)](double x) { return of(c, x); });
  return f;
}

/// Least and most of all that is drawn over x: everything is straight or bulges inwards.
Span reach(const Family& f, const Span& x) {
  Span y{f.used.value(x.from), f.used.value(x.from)};
  const auto include = [&](double v) { y.from = std::min(y.from, v), y.to = std::max(y.to, v); };
  for (const double at : {x.from, x.to}) {
    include(f.used.value(at) + f.used.sigma(at)), include(f.used.value(at) - f.used.sigma(at));
    for (const auto& other : f.others) include(other(at));
  }
  return y;
}

void draw(Chart& chart, const Family& f) {
  chart.band(f.used);
  for (std::size_t i = 0; i < f.others.size(); ++i) chart.line(f.others[i], i == 0 ? "set" : "film");
  chart.line(f.used.value, "main");
}

}  // namespace

double shown_throughput(const ElementFigures& e) { return std::abs(e.flow.line.A1) / 2; }

void throughput_chart(Svg& svg, const ElementFigures& e, const ChartBox& box) {
  const Characteristics& c = e.flow.line;
  const Span V = throughputs(e), p{gradient(c, V.to), gradient(c, V.from)};
  const Family lines = family(
      e, [](const Characteristics& k, double x) { return k.A1 - k.B * x; },
      [c, u = e.flow.uncertainty](double x) { return std::hypot(u.A1 * c.A1, u.B * c.B * x); });
  Chart chart(svg, box, {p, reach(lines, p), "pressure gradient p* = (dp/dz) D/(η N)", "Throughput V* = V/(N D³)"});
  draw(chart, lines);
  chart.mark(gradient(c, shown_throughput(e)), shown_throughput(e));
}

void power_chart(Svg& svg, const ElementFigures& e, const ChartBox& box) {
  const Characteristics& c = e.flow.line;
  const Span V = throughputs(e);
  const Family lines =
      family(e, power, [c, u = e.flow.uncertainty.power](double v) { return u * std::abs(power(c, v)); });
  const Span P = reach(lines, V);
  Chart chart(svg, box, {V, {std::min(0.0, P.from), 1.05 * P.to}, "throughput V*", "Power P* = P/(η N² D² L)"});
  draw(chart, lines);
  chart.mark(shown_throughput(e), power(c, shown_throughput(e)));
}

}  // namespace quern
