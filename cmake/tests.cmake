# One doctest program per folder of *_test.cpp files, known to CTest by the folder's name.
# Cases in doctest's suite "slow" are registered apart, under the label slow.

add_library(doctest_main OBJECT tests/doctest_main.cpp)
target_link_libraries(doctest_main PUBLIC quern_flags)

# quern_tests(NAME FOLDER LIBRARY...)
function(quern_tests name folder)
  file(GLOB sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/${folder}/*_test.cpp)
  if(NOT sources)
    return()
  endif()
  add_executable(${name}_test ${sources})
  target_link_libraries(${name}_test PRIVATE doctest_main ${ARGN})
  target_compile_definitions(${name}_test PRIVATE QUERN_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
  add_test(NAME ${name} COMMAND ${name}_test --test-suite-exclude=slow
           WORKING_DIRECTORY ${PROJECT_SOURCE_DIR})
  set_tests_properties(${name} PROPERTIES TIMEOUT 600)
  foreach(source IN LISTS sources)
    file(STRINGS ${source} slow REGEX "test_suite\\(\"slow\"\\)|TEST_SUITE\\(\"slow\"\\)")
    if(slow)
      add_test(NAME ${name}-slow COMMAND ${name}_test --test-suite=slow
               WORKING_DIRECTORY ${PROJECT_SOURCE_DIR})
      set_tests_properties(${name}-slow PROPERTIES LABELS slow TIMEOUT 1200)
      break()
    endif()
  endforeach()
endfunction()

foreach(layer base linear materials geometry flow machine structure io jobs)
  quern_tests(${layer} src/${layer} quern_${layer})
endforeach()
quern_tests(published tests/published quern_jobs)
quern_tests(e2e tests/e2e quern_jobs)
if(TARGET e2e_test)  # these run the program itself
  add_dependencies(e2e_test quern)
  target_compile_definitions(e2e_test PRIVATE QUERN_PROGRAM="$<TARGET_FILE:quern>")
endif()
