# Libraries that only pkg-config knows; read here, and by find_package(peepwright COMPONENTS exporters).
find_package(PkgConfig REQUIRED)
pkg_check_modules(PANGO REQUIRED IMPORTED_TARGET GLOBAL pangocairo pangoft2 fontconfig harfbuzz-subset)
pkg_check_modules(CAIRO REQUIRED IMPORTED_TARGET GLOBAL cairo-pdf cairo-svg)
pkg_check_modules(QPDF REQUIRED IMPORTED_TARGET GLOBAL libqpdf)
pkg_check_modules(DXFLIB REQUIRED IMPORTED_TARGET GLOBAL dxflib)
