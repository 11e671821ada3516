#pragma once
#include <kainjow/mustache.hpp>
#include <string>
#include <string_view>

#include "io/svg.hpp"
namespace quern {

/// A page from one of the embedded templates; {{x}} is escaped, {{{x}}} is not. A template that is missing or broken
/// is a programmer's mistake.
std::string render_page(std::string_view name, kainjow::mustache::data data);

/// The style of drawings, for those that are files of their own.
std::string picture_css();

}  // namespace quern
