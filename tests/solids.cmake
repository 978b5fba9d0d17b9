# Tests of the solids and of their exports.
add_compile_definitions(PEEPWRIGHT_SOURCE_DIR="${PROJECT_SOURCE_DIR}")

peepwright_test(test_head
  SOURCES engine/head_test.cpp engine/head_distance_test.cpp engine/assembly_test.cpp engine/on_solids_test.cpp engine/string_bend_solid_test.cpp
  USES peepwright::clearance)

add_executable(step_writer exporters/step_writer.cpp ${PEEPWRIGHT_SANITIZER_EXCUSES}) # writes one file per run: bytes are compared across processes
target_link_libraries(step_writer PRIVATE peepwright::step)
peepwright_test(test_step SOURCES exporters/step_test.cpp exporters/step_settings_test.cpp
                USES peepwright::step peepwright_kernel)
target_compile_definitions(test_step PRIVATE STEP_WRITER="$<TARGET_FILE:step_writer>")
add_dependencies(test_step step_writer)

peepwright_test(test_occt_assumptions SOURCES engine/occt_assumptions_test.cpp
                USES peepwright::step peepwright::solid peepwright_kernel TKFillet)

# A 3MF library reads our 3MF in the tests; the export itself does without one.
find_path(LIB3MF_INCLUDE_DIR Model/COM/NMR_DLLInterfaces.h PATH_SUFFIXES lib3mf REQUIRED)
find_library(LIB3MF_LIBRARY NAMES 3MF lib3mf.so.1 REQUIRED)
peepwright_test(test_mesh SOURCES exporters/mesh_test.cpp
                USES peepwright::mesh nlohmann_json::nlohmann_json ${LIB3MF_LIBRARY})
target_include_directories(test_mesh SYSTEM PRIVATE ${LIB3MF_INCLUDE_DIR})

# Readers that are not ours: CGAL (header-only), Assimp, and the program admesh.
find_package(CGAL REQUIRED)
find_package(assimp REQUIRED)
peepwright_test(test_mesh_readers SOURCES exporters/mesh_readers_test.cpp exporters/mesh_readers.cpp
                USES peepwright::mesh CGAL::CGAL assimp::assimp)

peepwright_test(test_clip_gauge SOURCES engine/clip_gauge_test.cpp USES peepwright::clearance peepwright::mesh peepwright::step)

peepwright_test(test_scan SOURCES engine/scan_test.cpp engine/scan_hostile_test.cpp
                USES peepwright::scan peepwright::clearance peepwright::mesh fmt::fmt)

# The whole survey: built with the rest, run by "ctest -C nightly -L nightly" alone.
add_executable(test_head_population engine/head_population_test.cpp)
target_link_libraries(test_head_population PRIVATE peepwright::solid GTest::gtest_main)
add_test(NAME head_population COMMAND test_head_population CONFIGURATIONS nightly)
set_tests_properties(head_population PROPERTIES LABELS nightly TIMEOUT 900)

if(PEEPWRIGHT_BENCHMARKS)
  find_package(benchmark REQUIRED)
  add_executable(bench_solid bench/solid_bench.cpp)
  target_link_libraries(bench_solid PRIVATE peepwright::clearance peepwright::step peepwright::mesh benchmark::benchmark)
  add_executable(bench_drawing bench/drawing_bench.cpp)
  target_link_libraries(bench_drawing PRIVATE peepwright_flags peepwright::sheet benchmark::benchmark)
endif()

peepwright_test(test_view
  SOURCES exporters/view_test.cpp exporters/view_labels_test.cpp exporters/fit_sheet_test.cpp exporters/warning_test.cpp exporters/measure_sheet_test.cpp exporters/pdf_reader.cpp
  USES peepwright::view peepwright::report peepwright::sheet nlohmann_json::nlohmann_json PkgConfig::QPDF
       PkgConfig::PANGO)

# Pictures of every kind of drawing: against those that were accepted, and in two programs that show SVG.
peepwright_test(test_drawings
  SOURCES exporters/reference_test.cpp exporters/renderer_test.cpp exporters/document_test.cpp exporters/drawing_samples.cpp exporters/sweep_charts_test.cpp
          exporters/picture.cpp exporters/pdf_reader.cpp
  USES peepwright::sheet peepwright::sweep_charts nlohmann_json::nlohmann_json PkgConfig::CAIRO PkgConfig::QPDF PkgConfig::PANGO)
target_compile_definitions(test_drawings PRIVATE REFERENCE_OUTPUT="${CMAKE_CURRENT_BINARY_DIR}/references")
