#!/bin/sh
# How our sources stand against .clang-format and, with --tidy, .clang-tidy; changes nothing.
#   tests/style.sh [--tidy] [FILE…]     without files: all of engine, exporters, cli and tests
# Exit code 1 when a file differs or is warned about. clang-tidy needs build/dev/compile_commands.json and some ten
# seconds a file: give it the files that changed.
set -eu
cd "$(dirname "$0")/.."
tidy=
[ "${1:-}" = --tidy ] && tidy=yes && shift
[ $# -gt 0 ] || set -- $(find engine exporters cli tests -name '*.cpp' -o -name '*.hpp' | sort)
status=0 differ=0
for file; do
  clang-format --dry-run -Werror "$file" 2>/dev/null || { differ=$((differ + 1)); echo "differs: $file"; status=1; }
done
echo "$differ of $# files differ from .clang-format"
if [ -n "$tidy" ]; then
  for file; do
    case $file in *.cpp) clang-tidy -p build/dev --quiet --warnings-as-errors='*' "$file" || status=1 ;; esac
  done
fi
exit $status
