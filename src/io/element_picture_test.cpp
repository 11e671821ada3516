#include "io/element_picture.hpp"

#include <boost/property_tree/xml_parser.hpp>
#include <doctest/doctest.h>
#include <sstream>

#include "io/element_figures_example.hpp"
#include "io/report.hpp"
#include "io/report_example.hpp"

using namespace quern;

namespace {

bool has(const std::string& text, std::string_view words) { return text.find(words) != std::string::npos; }

/// Reads as XML by a parser that is not ours; throws where it does not.
boost::property_tree::ptree parsed(const std::string& xml) {
  std::istringstream in(xml);
  boost::property_tree::ptree tree;
  boost::property_tree::read_xml(in, tree);
  return tree;
}

void check_on_sheet(const std::string& svg) {
  const auto tree = parsed(svg);
  double zero = 0, width = 0, height = 0;
  std::istringstream(tree.get<std::string>("svg.<xmlattr>.viewBox")) >> zero >> zero >> width >> height;
  for (const auto& [name, node] : tree.get_child("svg")) {
    if (name != "text") continue;
    const double x = std::stod(node.get<std::string>("<xmlattr>.x")),
                 y = std::stod(node.get<std::string>("<xmlattr>.y"));
    CHECK((x >= 0 && x <= width && y >= 0 && y <= height));
  }
  for (const char* broken : {"nan", "inf "}) CHECK_FALSE(has(svg, broken));
}

/// One element, alone on its screw.
ElementFigures figures_of(Trial t, const Element& e) {
  t.screw.elements = {e};
  return element_figures(t, made_up_library(t)).front();
}

}  // namespace

TEST_CASE("element picture: well-formed, on its sheet, with all four panels, for every element of a project") {
  const Trial t = example_trial("melt");
  for (const ElementFigures& e : element_figures(t, made_up_library(t))) {
    CAPTURE(describe(e.element));
    const std::string svg = element_picture_file(e, t.machine.section, t.screw_speed);
    check_on_sheet(svg);
    CHECK(parsed(svg).get<std::string>("svg.<xmlattr>.xmlns") == "http://www.w3.org/2000/svg");
    for (const char* words :
         {"Gap from wall to wall", "Pressure over", "Streamlines", "Throughput V*", "Power P*", "bar", "mm"})
      CHECK_MESSAGE(has(svg, words), words);
    CHECK(svg.size() < 150'000);
    CHECK(element_thumbnail(e, t.machine.section).size() < 40'000);
  }
}

TEST_CASE("element picture: extreme elements stay drawings of bounded size") {
  const Trial t = example_trial("melt");
  Element steep{.lead = 0.3 * 0.03}, flat{.lead = 8 * 0.03}, stack{.kind = ElementKind::kneading, .discs = 40};
  steep.length = flat.length = 0.03;
  stack.length = 0.12, stack.stagger = 0.5;
  for (const Element& e : {steep, flat, stack}) {
    CAPTURE(describe(e));
    const ElementFigures f = figures_of(t, e);
    check_on_sheet(element_picture(f, t.machine.section, t.screw_speed));
    CHECK(element_thumbnail(f, t.machine.section).size() < 120'000);
  }
}

TEST_CASE("element picture: without a solution the characteristic lines alone, and nothing small") {
  const Trial t = example_trial("melt");
  const ElementFigures e = element_figures(t, {}).front();
  const std::string svg = element_picture_file(e, t.machine.section, t.screw_speed);
  check_on_sheet(svg);
  CHECK(has(svg, "Throughput V*"));
  CHECK_FALSE(has(svg, "Streamlines"));
  CHECK(element_thumbnail(e, t.machine.section).empty());
}

TEST_CASE("report: with solved elements an appendix of rows and pictures, without them none") {
  Trial t = example_trial("melt");
  const LineState s = example_state("melt");
  CHECK_FALSE(has(report_html(t, s), "What the elements do to the melt"));
  t.elements = std::make_shared<const ElementLibrary>(made_up_library(t));
  const std::string html = report_html(t, s);
  CHECK(has(html, "What the elements do to the melt"));
  CHECK(has(html, "1-5, 12-13, 18-23"));
  CHECK(html.size() < 600'000);
  for (const char* broken : {">nan", " nan", "inf ", "{{", "}}"}) CHECK_MESSAGE(!has(html, broken), broken);
}

TEST_CASE("report: pictures of long stacks are left out before they fill the file") {
  Trial t = example_trial("melt");
  const LineState s = example_state("melt");
  Element stack{.kind = ElementKind::kneading, .discs = 40};
  for (std::size_t i = 0; i < 6; ++i) {
    stack.length = 0.12 + 0.004 * static_cast<double>(i), stack.stagger = 0.5;
    t.screw.elements[i] = stack;
  }
  t.elements = std::make_shared<const ElementLibrary>(made_up_library(t));
  CHECK(report_html(t, s).size() < 600'000);
}

TEST_CASE("report: of a screw of many shapes the eight with most energy are drawn") {
  Trial t = example_trial("melt");
  LineState s = example_state("melt");
  t.screw.elements.resize(20, t.screw.elements.front());
  s.elements.resize(20, s.elements.front());
  for (std::size_t i = 0; i < 20; ++i) {
    t.screw.elements[i] = t.screw.elements.front();
    t.screw.elements[i].lead = 0.03 + 0.001 * static_cast<double>(i);
    s.elements[i].specific_energy = static_cast<double>(i);
  }
  t.elements = std::make_shared<const ElementLibrary>(made_up_library(t));
  const std::string html = report_html(t, s);
  std::size_t pictures = 0;
  for (std::size_t at = 0; (at = html.find("class=\"picture-name\"", at)) != std::string::npos; ++at) ++pictures;
  CHECK(pictures == 8);
  CHECK(has(html, "class=\"picture-name\">13: "));
  CHECK_FALSE(has(html, "class=\"picture-name\">12: "));
  CHECK(html.size() < 600'000);
}
