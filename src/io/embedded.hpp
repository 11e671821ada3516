#pragma once
#include <span>
#include <string_view>
namespace quern {

/// A file that the program carries inside itself; made at build time.
struct EmbeddedFile {
  std::string_view name;  ///< "polypropylene.toml"
  std::string_view text;
};
std::span<const EmbeddedFile> embedded_materials();  ///< data/materials/*.toml
std::span<const EmbeddedFile> embedded_elements();   ///< data/elements/*.json
std::span<const EmbeddedFile> embedded_templates();  ///< src/io/templates/*

}  // namespace quern
