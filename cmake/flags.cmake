# Flags that every target of ours shares.

find_program(CCACHE ccache)
if(CCACHE AND NOT CMAKE_CXX_COMPILER_LAUNCHER)
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
endif()

add_library(quern_flags INTERFACE)
target_include_directories(quern_flags INTERFACE ${PROJECT_SOURCE_DIR}/src)
target_compile_options(quern_flags INTERFACE -Wall -Wextra -Wpedantic -Wconversion -Wshadow)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
  target_compile_options(quern_flags INTERFACE -Wno-restrict)  # false alarms on std::string, gcc bug 105651
endif()
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
  # packs of eight cross no border of the program, so the way they are handed over may differ between builds
  target_compile_options(quern_flags INTERFACE -Wno-psabi)
endif()
if(CMAKE_CXX_COMPILER_ID STREQUAL "Clang")
  target_compile_options(quern_flags INTERFACE -Wno-unknown-pragmas)  # gcc's hints to its vectoriser
endif()
# Debian builds toml++ as a library, which its own CMake target does not say. Eigen: no files under other licences.
target_compile_definitions(quern_flags INTERFACE TOML_HEADER_ONLY=0 EIGEN_MPL2_ONLY QUERN_VERSION="${PROJECT_VERSION}")

if(QUERN_WERROR)
  target_compile_options(quern_flags INTERFACE -Werror)
endif()
if(QUERN_SANITIZE)
  set(sanitizers -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_compile_options(quern_flags INTERFACE ${sanitizers})
  target_link_options(quern_flags INTERFACE ${sanitizers})
endif()
if(QUERN_NATIVE)
  target_compile_options(quern_flags INTERFACE -march=native)
endif()

# The hot paths: the march along the screw, strip systems, velocity profiles. Not -ffast-math: checks for NaN must work.
file(GLOB hot_sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/machine/march*.cpp
     ${PROJECT_SOURCE_DIR}/src/linear/*.cpp ${PROJECT_SOURCE_DIR}/src/flow/thinning_profile.cpp)
list(FILTER hot_sources EXCLUDE REGEX "_(test|fuzz)\\.cpp$")
if(hot_sources AND CMAKE_BUILD_TYPE STREQUAL "Release")
  set_source_files_properties(${hot_sources} PROPERTIES
    COMPILE_OPTIONS "-O3;-ffp-contract=fast;-fno-math-errno;-fno-trapping-math")
endif()

if(QUERN_FUZZ)
  target_compile_options(quern_flags INTERFACE -fsanitize=fuzzer-no-link)
endif()
