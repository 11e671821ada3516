#include "io/svg.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>

namespace quern {
namespace {

using Out = std::back_insert_iterator<std::string>;

/// Length of the UTF-8 sequence that starts here, or 0 when it is broken.
std::size_t utf8_length(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const unsigned char first = byte(i);
  const std::size_t length = first < 0x80   ? 1
                             : first < 0xC2 ? 0
                             : first < 0xE0 ? 2
                             : first < 0xF0 ? 3
                             : first < 0xF5 ? 4
                                            : 0;
  if (length == 0 || i + length > text.size()) return 0;
  for (std::size_t k = 1; k < length; ++k)
    if ((byte(i + k) & 0xC0) != 0x80) return 0;
  // Overlong forms, surrogates and code points past U+10FFFF are no characters.
  if (first == 0xE0 && byte(i + 1) < 0xA0) return 0;
  if (first == 0xED && byte(i + 1) > 0x9F) return 0;
  if (first == 0xF0 && byte(i + 1) < 0x90) return 0;
  if (first == 0xF4 && byte(i + 1) > 0x8F) return 0;
  return length;
}

std::string number(double v) {
  std::string s = fmt::format("{:.1f}", std::isfinite(v) ? v : 0.0);
  if (s.ends_with(".0")) s.resize(s.size() - 2);
  return s == "-0" ? "0" : s;
}

/// A step of so many tenths: "-.3", "12", "4.5".
void put_step(std::string& d, long tenths, bool first) {
  if (tenths < 0) d += '-';
  else if (!first) d += ' ';
  const long size = std::labs(tenths);
  if (size >= 10 || size == 0) fmt::format_to(Out(d), "{}", size / 10);
  if (size % 10 != 0) fmt::format_to(Out(d), ".{}", size % 10);
}

std::string points(const std::vector<Dot>& dots) {
  std::string s;
  for (const Dot& dot : dots) s += number(dot.x) + ',' + number(dot.y) + ' ';
  return s;
}

}  // namespace

std::string escape_xml(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = utf8_length(text, i);
    const char c = text[i];
    if (length == 0 || (length == 1 && static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t') || c == 0x7f)
      out += '?';
    else if (c == '&') out += "&amp;";
    else if (c == '<') out += "&lt;";
    else if (c == '>') out += "&gt;";
    else if (c == '"') out += "&quot;";
    else if (c == '\'') out += "&#39;";
    else out += text.substr(i, length);
    i += std::max<std::size_t>(length, 1);
  }
  return out;
}

std::string fit(std::string_view text, double width, double font_size) {
  const auto most = static_cast<std::size_t>(std::max(0.0, width / (0.55 * font_size)));
  std::vector<std::size_t> starts;
  for (std::size_t i = 0; i < text.size(); i += std::max<std::size_t>(utf8_length(text, i), 1)) starts.push_back(i);
  if (starts.size() <= most) return std::string(text);
  if (most < 2) return {};
  return std::string(text.substr(0, starts[most - 1])) + "…";
}

Svg::Svg(double width, double height, std::string_view title)
    : width_(width), height_(height), title_(escape_xml(title)) {}

void Svg::open_group(std::string_view attributes) { fmt::format_to(Out(body_), "<g {}>\n", attributes); }
void Svg::close_group() { body_ += "</g>\n"; }

void Svg::line(Dot a, Dot b, std::string_view css) {
  fmt::format_to(Out(body_), "<path class=\"{}\" d=\"M{} {}L{} {}\"/>\n", css, number(a.x), number(a.y), number(b.x),
                 number(b.y));
}

void Svg::rect(Dot corner, double width, double height, std::string_view css, std::string_view attributes) {
  fmt::format_to(Out(body_), "<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>\n", css,
                 number(corner.x), number(corner.y), number(std::max(width, 0.0)), number(std::max(height, 0.0)),
                 attributes);
}

void Svg::polyline(const std::vector<Dot>& dots, std::string_view css) {
  if (dots.size() > 1) path(path_of(dots, false), css);
}

void Svg::polygon(const std::vector<Dot>& dots, std::string_view css, std::string_view attributes) {
  fmt::format_to(Out(body_), "<polygon class=\"{}\" points=\"{}\" {}/>\n", css, points(dots), attributes);
}

void Svg::path(const std::string& d, std::string_view css, std::string_view attributes) {
  fmt::format_to(Out(body_), "<path class=\"{}\" d=\"{}\" {}/>\n", css, d, attributes);
}

void Svg::text(Dot at, std::string_view words, std::string_view css, std::string_view anchor,
               std::string_view attributes) {
  fmt::format_to(Out(body_), "<text class=\"{}\" x=\"{}\" y=\"{}\" text-anchor=\"{}\" {}>{}</text>\n", css,
                 number(at.x), number(at.y), anchor, attributes, escape_xml(words));
}

std::string Svg::str() const {
  return fmt::format("<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n<title>{}</title>\n{}</svg>\n",
                     number(width_), number(height_), title_, title_, body_);
}

std::string path_of(const std::vector<Dot>& dots, bool closed) {
  std::string d;
  long x = 0, y = 0;
  for (std::size_t i = 0; i < dots.size(); ++i) {
    const long nx = std::lround(10 * dots[i].x), ny = std::lround(10 * dots[i].y);
    if (i > 0 && nx == x && ny == y) continue;
    d += i == 0 ? 'M' : 'l';
    put_step(d, nx - x, true);
    put_step(d, ny - y, false);
    x = nx;
    y = ny;
  }
  if (closed) d += 'z';
  return d;
}

std::vector<double> ticks(double from, double to, int count) {
  std::vector<double> values;
  if (!(to > from) || count < 1) return values;
  const double raw = (to - from) / count;
  const double power = std::pow(10, std::floor(std::log10(raw)));
  const double lead = raw / power;
  const double step = power * (lead > 5 ? 10 : lead > 2 ? 5 : lead > 1 ? 2 : 1);
  const auto first = static_cast<long>(std::ceil(from / step - 1e-9));
  for (long i = first; static_cast<double>(i) * step <= to + 1e-9 * step; ++i)
    values.push_back(static_cast<double>(i) * step);
  return values;
}

}  // namespace quern
