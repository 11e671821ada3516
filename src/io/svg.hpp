#pragma once
#include <string>
#include <string_view>
#include <vector>
namespace quern {

/// Text for XML and HTML: & < > " ' escaped, control characters and broken UTF-8 replaced by "?".
std::string escape_xml(std::string_view text);

/// The first letters of a text that fit into a width, with an ellipsis when cut. Width of a letter taken as 0.55 em.
std::string fit(std::string_view text, double width, double font_size);

/// A point of a drawing, in its own units (x right, y down).
struct Dot {
  double x = 0, y = 0;
};

/// An SVG drawing in the making. Coordinates are written to a tenth; every string is escaped.
/// Styles are CSS classes that the page defines (see the head of templates/report.html), or plain attributes.
class Svg {
 public:
  Svg(double width, double height, std::string_view title);
  void open_group(std::string_view attributes = {});
  void close_group();
  void line(Dot from, Dot to, std::string_view css);
  void rect(Dot corner, double width, double height, std::string_view css, std::string_view attributes = {});
  void polyline(const std::vector<Dot>& dots, std::string_view css);
  /// A closed outline; several of them in one path with `add_outline`.
  void polygon(const std::vector<Dot>& dots, std::string_view css, std::string_view attributes = {});
  void path(const std::string& d, std::string_view css, std::string_view attributes = {});
  /// @param anchor "start", "middle" or "end"
  void text(Dot at, std::string_view words, std::string_view css, std::string_view anchor = "start",
            std::string_view attributes = {});
  void raw(std::string_view xml) { body_ += xml; }
  std::string str() const;

 private:
  double width_, height_;
  std::string title_, body_;
};

/// "M1 2l3 4..." of a run of dots, relative steps in tenths, shortest form. @param closed ends with "z"
std::string path_of(const std::vector<Dot>& dots, bool closed);

/// Round tick values covering [from, to]: steps of 1, 2 or 5 times a power of ten, about `count` of them.
std::vector<double> ticks(double from, double to, int count);

/// A straight scale from values to drawing units.
struct Scale {
  double from = 0, to = 1, start = 0, end = 1;
  double operator()(double v) const { return start + (v - from) / (to - from) * (end - start); }
};

}  // namespace quern
