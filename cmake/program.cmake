# The command line program. CLI11 is slow to compile, so only main.cpp includes it.
if(EXISTS ${PROJECT_SOURCE_DIR}/src/cli/main.cpp)
  add_executable(quern src/cli/main.cpp)
  target_link_libraries(quern PRIVATE quern_jobs CLI11::CLI11)
  install(TARGETS quern)
endif()
