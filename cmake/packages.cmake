# What the program is built on; Debian package names are in tools/packages.txt.

find_package(PkgConfig REQUIRED)
find_package(Threads REQUIRED)
find_package(fmt REQUIRED)
find_package(Boost 1.74 REQUIRED)
find_package(Eigen3 3.4 REQUIRED)
find_package(nlohmann_json REQUIRED)
find_package(CLI11 REQUIRED)
pkg_check_modules(tomlplusplus REQUIRED IMPORTED_TARGET tomlplusplus)
pkg_check_modules(udunits REQUIRED IMPORTED_TARGET udunits)

# Header-only packages that bring no CMake files.
foreach(header tl/expected.hpp kainjow/mustache.hpp doctest/doctest.h)
  string(MAKE_C_IDENTIFIER "found_${header}" found)
  find_file(${found} ${header} REQUIRED)
endforeach()
