#!/bin/sh
# Line coverage of engine, exporters and cli by the whole suite: builds the preset "coverage", runs ctest, asks gcovr.
# Takes long; not a part of CI.
set -eu
cd "$(dirname "$0")/.."
cmake --preset coverage
cmake --build --preset coverage -j2
ctest --test-dir build/coverage -j2 || echo "some tests failed; their lines count all the same" >&2
gcovr --root . --filter engine/ --filter exporters/ --filter cli/ --gcov-ignore-parse-errors --print-summary \
  --txt build/coverage/coverage.txt build/coverage
