#include "io/material_library.hpp"

#include <algorithm>

#include "io/embedded.hpp"
#include "io/read_material.hpp"

namespace quern {

const std::vector<Material>& material_library() {
  static const std::vector<Material> library = [] {
    std::vector<Material> all;
    for (const EmbeddedFile& file : embedded_materials())
      for (Material& m :
           read_materials(std::string(file.text), "data/materials/" + std::string(file.name), "no source given"))
        all.push_back(std::move(m));
    std::ranges::sort(all, {}, &Material::name);
    return all;
  }();
  return library;
}

const Material* library_material(std::string_view name) {
  for (const Material& m : material_library())
    if (m.name == name) return &m;
  return nullptr;
}

}  // namespace quern
