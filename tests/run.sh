#!/bin/sh
# Every test, on a bare Debian 12: installs what is missing (as root or with sudo), builds, runs ctest and clang-tidy.
set -eu
cd "$(dirname "$0")/.."
sh .ci/install tests
status=0
cmake --workflow --preset dev || status=$?
[ ! -e build/dev/compile_commands.json ] || sh tests/style.sh --tidy || status=1
# What could not be tested here is said last, in words.
grep -h '^SKIPPED' build/dev/Testing/Temporary/LastTest.log 2>/dev/null || :
exit $status
