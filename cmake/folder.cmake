# quern_folder(base a b) makes the library quern_base from src/base/*.cpp, linked to a and b.
# A folder without sources yet becomes an interface library, so that the others still configure.
function(quern_folder name)
  file(GLOB sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/${name}/*.cpp)
  list(FILTER sources EXCLUDE REGEX "_(test|fuzz)\\.cpp$")
  if(sources)
    add_library(quern_${name} STATIC ${sources})
    target_link_libraries(quern_${name} PUBLIC ${ARGN})
  else()
    add_library(quern_${name} INTERFACE)
    target_link_libraries(quern_${name} INTERFACE ${ARGN})
  endif()
endfunction()

# quern_embed(TARGET FUNCTION PATTERN...) compiles the matching files into TARGET, which then has
# std::span<const EmbeddedFile> FUNCTION(), declared in io/embedded.hpp. Names are without the folder.
function(quern_embed target function)
  list(TRANSFORM ARGN PREPEND ${PROJECT_SOURCE_DIR}/)
  file(GLOB files CONFIGURE_DEPENDS ${ARGN})
  get_target_property(type ${target} TYPE)
  if(type STREQUAL "INTERFACE_LIBRARY")
    return()
  endif()
  set(output ${PROJECT_BINARY_DIR}/embedded/${function}.cpp)
  add_custom_command(OUTPUT ${output}
    COMMAND ${CMAKE_COMMAND} -DFUNCTION=${function} -DOUTPUT=${output} "-DFILES=${files}"
            -P ${PROJECT_SOURCE_DIR}/cmake/embed.cmake
    DEPENDS ${files} ${PROJECT_SOURCE_DIR}/cmake/embed.cmake
    COMMENT "Embedding ${function}" VERBATIM)
  target_sources(${target} PRIVATE ${output})
endfunction()
