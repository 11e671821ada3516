#pragma once
#include <string>
#include <string_view>
#include <toml++/toml.h>
namespace quern {

/// TOML text as a table. Guards first, each in time proportional to the text: size (5 MB), NUL, UTF-8, nesting (64)
/// and number of values (50 000), so that no text takes long or much memory whatever follows.
/// @throws InputError  with file and line
toml::table parse_toml(std::string_view text, const std::string& file);

/// A file's text. A pipe or a device is no file: reading one might never end.
/// @throws InputError  missing, a folder, a pipe, unreadable, more than 5 MB
std::string read_text_file(const std::string& path);

}  // namespace quern
