# "cpack -G DEB" in a build folder makes two Debian packages: peepwright (program, pages, examples) and libpeepwright-dev
# (libraries, headers, find_package). tests/package.sh installs and runs the first in a bare Debian.
set(CPACK_PACKAGE_NAME peepwright)
set(CPACK_PACKAGE_VENDOR "peepwright contributors")
set(CPACK_PACKAGE_CONTACT "peepwright contributors <contributors@peepwright.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "") # or it would stand above each package's own
set(CPACK_COMPONENTS_ALL program dev)
set(CPACK_STRIP_FILES ON)

set(CPACK_GENERATOR DEB)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME peepwright)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS "fonts-b612, fonts-dejavu-core")
set(CPACK_DEBIAN_PROGRAM_DESCRIPTION
"where the peep sight of a compound bow goes
Takes what was measured on an archer's face and on a compound bow, works out
the full-draw position with the head upright, and hands over the mark on the
string at rest, how sure it is, a 1:1 paper strip to lay on the string, sight
marks, clearances, drawings and solids.")
set(CPACK_DEBIAN_DEV_PACKAGE_NAME libpeepwright-dev)
set(CPACK_DEBIAN_DEV_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEV_PACKAGE_SHLIBDEPS OFF)
set(CPACK_DEBIAN_DEV_PACKAGE_DEPENDS "libfmt-dev, libtomlplusplus-dev, libeigen3-dev")
set(CPACK_DEBIAN_DEV_PACKAGE_SUGGESTS
    "libocct-data-exchange-dev, libcgal-dev, libtbb-dev, libpango1.0-dev, libqpdf-dev, libdxflib-dev, zlib1g-dev, pkg-config")
set(CPACK_DEBIAN_DEV_DESCRIPTION
"engine of peepwright, for other programs
Static libraries, headers and CMake files. The numeric engine needs what this
package depends on; the rooms for solids and exporters need what it suggests.")

# Debian wants these two beside every package. The date is the release's, as nothing here reads the clock.
find_program(GZIP gzip REQUIRED)
execute_process(COMMAND ${CMAKE_COMMAND} -E env LC_ALL=C date -u -d ${PEEPWRIGHT_RELEASE_DATE} "+%a, %d %b %Y"
                OUTPUT_VARIABLE release_day OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
configure_file(cli/package/changelog.in package/changelog @ONLY)
execute_process(COMMAND ${GZIP} -9nkf ${PROJECT_BINARY_DIR}/package/changelog COMMAND_ERROR_IS_FATAL ANY)
foreach(component program dev)
  string(TOUPPER ${component} key)
  install(FILES cli/package/copyright ${PROJECT_BINARY_DIR}/package/changelog.gz
          DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/${CPACK_DEBIAN_${key}_PACKAGE_NAME} COMPONENT ${component})
endforeach()
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DATADIR}/doc/peepwright COMPONENT program
        FILES_MATCHING PATTERN "*.toml" PATTERN "*.md" PATTERN "*.png")
if(PROJECT_IS_TOP_LEVEL) # whoever has us as a part packs for himself
  include(CPack)
endif()
