# What "cmake --install" puts beside the program (component "program"): component "dev" with libraries, headers and
# find_package(peepwright). Three sets of rooms, each an export of its own, so that whoever wants numbers alone needs
# neither OpenCASCADE nor CGAL nor Cairo to be there.
include(CMakePackageConfigHelpers)
set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/peepwright)

set_target_properties(peepwright_flags PROPERTIES EXPORT_NAME flags)
install(TARGETS peepwright_flags EXPORT peepwright-numeric)
foreach(rooms numeric solids exporters)
  install(EXPORT peepwright-${rooms} NAMESPACE peepwright:: DESTINATION ${package_dir} COMPONENT dev)
endforeach()

configure_package_config_file(engine/cmake/peepwright-config.cmake.in peepwright-config.cmake
  INSTALL_DESTINATION ${package_dir} NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file(peepwright-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/peepwright-config.cmake ${PROJECT_BINARY_DIR}/peepwright-config-version.cmake
        DESTINATION ${package_dir} COMPONENT dev)
install(FILES exporters/pkg-config.cmake DESTINATION ${package_dir} RENAME peepwright-pkg-config.cmake COMPONENT dev)

# Headers keep their place in the tree: they are included as "engine/fit/fit.hpp" here and there. The exceptions are
# private to their rooms: they show types of the geometry kernel, the text library or the JSON library.
install(DIRECTORY engine exporters DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/peepwright COMPONENT dev
        FILES_MATCHING PATTERN "*.hpp"
        PATTERN engine/solid/kernel.hpp EXCLUDE PATTERN engine/solid/parts.hpp EXCLUDE
        PATTERN engine/cmake EXCLUDE PATTERN engine/face/data EXCLUDE
        PATTERN exporters/drawing/fonts.hpp EXCLUDE PATTERN exporters/drawing/record.hpp EXCLUDE
        PATTERN exporters/report/json_numbers.hpp EXCLUDE PATTERN exporters/report/text_lines.hpp EXCLUDE)
