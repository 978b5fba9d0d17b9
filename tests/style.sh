#!/bin/sh
# How our sources stand against .clang-format and, with --tidy, .clang-tidy; changes nothing.
#   tests/style.sh [--tidy] [FILE…]     without files: all of engine, exporters, cli and tests (--tidy: no tests)
# Exit code 1 when a file differs or is warned about. clang-tidy needs build/dev/compile_commands.json and some six
# seconds a file.
set -eu
cd "$(dirname "$0")/.."
tidy=
rooms="engine exporters cli"
[ "${1:-}" = --tidy ] && tidy=yes && shift
if [ -n "$tidy" ]; then
  # Debian's clang 14 does not get through the PDF library's headers.
  [ $# -gt 0 ] || set -- $(find $rooms -name '*.cpp' | sort | grep -v -e drawing/pdf.cpp -e cli/libraries.cpp)
  # Flags that GCC knows and clang does not are no findings.
  printf '%s\n' "$@" | xargs -P "$(nproc)" -n 1 clang-tidy -p build/dev --quiet --warnings-as-errors='*' \
    --extra-arg=-Wno-unknown-warning-option 2>/dev/null || { echo "clang-tidy has findings" >&2; exit 1; }
  echo "$# files, nothing for clang-tidy to find"
else
  [ $# -gt 0 ] || set -- $(find $rooms tests -name '*.cpp' -o -name '*.hpp' | sort)
  clang-format --dry-run -Werror "$@"
  echo "$# files, all as .clang-format has them"
fi
