#include "io/page.hpp"

#include <stdexcept>

#include "io/embedded.hpp"

namespace quern {
namespace {

std::string embedded_text(std::string_view name) {
  for (const EmbeddedFile& file : embedded_templates())
    if (file.name == name) return std::string(file.text);
  throw std::logic_error("no template " + std::string(name));
}

}  // namespace

std::string picture_css() { return embedded_text("picture.css"); }

std::string render_page(std::string_view name, kainjow::mustache::data data) {
  kainjow::mustache::mustache page(embedded_text(name));
  page.set_custom_escape([](const std::string& text) { return escape_xml(text); });
  data.set("css", picture_css() + embedded_text("page.css"));
  return page.render(data);
}

}  // namespace quern
