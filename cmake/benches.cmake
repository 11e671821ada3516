# One Google Benchmark program per file of bench/.
find_package(benchmark REQUIRED)
file(GLOB benches CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/bench/*.cpp)
foreach(source IN LISTS benches)
  get_filename_component(name ${source} NAME_WE)
  add_executable(bench_${name} ${source})
  target_link_libraries(bench_${name} PRIVATE quern_jobs benchmark::benchmark benchmark::benchmark_main)
  target_compile_definitions(bench_${name} PRIVATE QUERN_SOURCE_DIR="${PROJECT_SOURCE_DIR}")
endforeach()
