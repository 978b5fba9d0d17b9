#!/bin/sh
# How our sources stand against .clang-format and .clang-tidy; changes nothing.
#   tests/style.sh [--tidy | --analyze] [FILE…]
# Without an option clang-format; --tidy asks clang-tidy what it sees file by file, --analyze its static analyzer as well,
# which takes twice as long. Without files: all of engine, exporters, cli and, for clang-format, tests. Exit code 1 when a
# file differs or is warned about. clang-tidy needs build/dev/compile_commands.json and three to six seconds a file.
set -eu
cd "$(dirname "$0")/.."
how=format
rooms="engine exporters cli"
case ${1:-} in
  --tidy) how=tidy checks="-clang-analyzer-*" && shift ;;
  --analyze) how=tidy checks= && shift ;;
esac
if [ $how = tidy ]; then
  # Debian's clang 14 does not get through the PDF library's headers.
  [ $# -gt 0 ] || set -- $(find $rooms -name '*.cpp' | sort | grep -v -e drawing/pdf.cpp -e cli/libraries.cpp)
  # Flags that GCC knows and clang does not are no findings.
  printf '%s\n' "$@" | xargs -P "$(nproc)" -n 1 clang-tidy -p build/dev --quiet --warnings-as-errors='*' \
    --checks="$checks" --extra-arg=-Wno-unknown-warning-option 2>/dev/null ||
    { echo "clang-tidy has findings" >&2; exit 1; }
  echo "$# files, nothing for clang-tidy to find"
else
  [ $# -gt 0 ] || set -- $(find $rooms tests -name '*.cpp' -o -name '*.hpp' | sort)
  clang-format --dry-run -Werror "$@"
  echo "$# files, all as .clang-format has them"
fi
