#!/bin/sh
# Drawings against tests/references. Without an option it draws them all and names those that differ, to be looked at;
# with --looked it takes what was drawn as the new references. A build folder may be named first (build/dev).
set -eu
cd "$(dirname "$0")/.."
build=build/dev looked=no
for word in "$@"; do
  case $word in
    --looked) looked=yes ;;
    -*) echo "usage: sh tests/accept-references.sh [BUILD-FOLDER] [--looked]" >&2; exit 2 ;;
    *) build=$word ;;
  esac
done
drawn=$build/tests/references
cmake --build "$build" --target test_drawings >&2
"$build/tests/test_drawings" --gtest_filter='Drawings/Reference.*' --gtest_brief=1 >/dev/null || true
count=0
for actual in "$drawn"/*.actual.png; do
  [ -e "$actual" ] || continue
  name=$(basename "$actual" .actual.png)
  count=$((count + 1))
  if [ $looked = yes ]; then
    mkdir -p tests/references
    mv "$actual" "tests/references/$name.png"
    rm -f "$drawn/$name.difference.png"
    echo "accepted: tests/references/$name.png"
  else
    echo "differs: $name. Look at $actual"
    [ ! -e "$drawn/$name.difference.png" ] || echo "         and at $drawn/$name.difference.png"
  fi
done
[ $count -gt 0 ] || echo "every drawing looks as accepted"
[ $count -eq 0 ] || [ $looked = yes ] || { echo "If they are right: sh tests/accept-references.sh --looked"; exit 1; }
