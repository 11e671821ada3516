# cmake -DFUNCTION=embedded_materials -DOUTPUT=x.cpp "-DFILES=a.toml;b.toml" -P embed.cmake
# Every byte is written as \xNN, so that no file can break out of its literal.

set(entries "")
list(LENGTH FILES count)
foreach(file IN LISTS FILES)
  get_filename_component(name ${file} NAME)
  file(SIZE ${file} size)
  file(READ ${file} bytes HEX)
  string(REGEX REPLACE "(................................)" "\\1\n" bytes "${bytes}")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "\\\\x\\1" bytes "${bytes}")
  string(REGEX REPLACE "\n" "\"\n     \"" bytes "${bytes}")
  string(APPEND entries "    {\"${name}\",\n     {\"${bytes}\", ${size}}},\n")
endforeach()

file(WRITE ${OUTPUT} "#include <array>

#include \"io/embedded.hpp\"

namespace quern {

std::span<const EmbeddedFile> ${FUNCTION}() {
  static const std::array<EmbeddedFile, ${count}> files{{
${entries}  }};
  return files;
}

}  // namespace quern
")
