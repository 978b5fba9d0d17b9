#!/bin/sh
# check.sh BUILD: installs a build tree into a folder of its own, moves that folder, and builds this project against it.
# The numeric engine must come to the program's own mark and must not ask for a CAD or drawing library.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$here/../..
build=$(cd "$1" && pwd)
work=$build/tests/consumer-check
fail() { echo "FAILED: $*" >&2; exit 1; }

rm -rf "$work"
mkdir -p "$work"
cmake --install "$build" --prefix "$work/first" >"$work/install.log"
mv "$work/first" "$work/installed" # a package is built in one place and lives in another

for file in bin/peepwright share/man/man1/peepwright.1.gz share/bash-completion/completions/peepwright \
    share/zsh/vendor-completions/_peepwright share/fish/vendor_completions.d/peepwright.fish \
    include/peepwright/engine/quantity/quantity.hpp include/peepwright/engine/spec/spec.hpp \
    include/peepwright/engine/face/face.hpp include/peepwright/engine/bow/draw_estimate.hpp \
    include/peepwright/engine/flight/trajectory.hpp include/peepwright/engine/fit/fit.hpp; do
  [ -s "$work/installed/$file" ] || fail "$file is not installed"
done
if grep -r -l -F "$build" "$work/installed/lib" "$work/installed/share" | grep -v '\.a$'; then
  fail "what is installed names the build tree"
fi

export CMAKE_BUILD_PARALLEL_LEVEL=1
configure() {
  tree=$work/$1
  shift
  cmake --no-warn-unused-cli -S "$here" -B "$tree" -DCMAKE_BUILD_TYPE=Release -DCMAKE_PREFIX_PATH="$work/installed" "$@" \
    >"$tree.log"
}

# Numbers alone: as if the machine had none of the CAD and drawing libraries.
configure numeric -DALL_ROOMS=OFF -DCMAKE_DISABLE_FIND_PACKAGE_OpenCASCADE=ON -DCMAKE_DISABLE_FIND_PACKAGE_CGAL=ON \
  -DCMAKE_DISABLE_FIND_PACKAGE_PkgConfig=ON
cmake --build "$work/numeric" >>"$work/numeric.log"
readelf -d "$work/numeric/mark" >"$work/numeric.needed"
ldd "$work/numeric/mark" >>"$work/numeric.needed"
grep -q 'libfmt' "$work/numeric.needed" || fail "readelf and ldd say nothing of the libraries"
if grep -i -E 'libTK|CGAL|gmp|mpfr|cairo|pango|fontconfig|qpdf|libtbb' "$work/numeric.needed"; then
  fail "the numeric engine links a CAD or drawing library"
fi
cd "$root/examples/first-fit"
"$work/installed/bin/peepwright" fit archer.toml bow.toml arrow.toml --quiet -o "$work/out"
number() { sed -n "s/^ *\"$1\": \([0-9.]*\),*\$/\1/p" "$work/out/fit.json" | head -n 1; }
theirs=$(printf '%.4f %.4f' "$(number mark_from_nock_top_mm)" "$(number mark_uncertainty_mm)")
ours=$("$work/numeric/mark" archer.toml bow.toml arrow.toml)
[ "$ours" = "$theirs" ] || fail "the consumer's mark is \"$ours\", the program's \"$theirs\""
"$work/numeric/mark" no-such-file.toml 2>"$work/refused" && fail "a missing file was taken"
grep -q no-such-file "$work/refused" || fail "a missing file is not named"

# The rest as well.
configure all -DALL_ROOMS=ON -Wno-dev
cmake --build "$work/all" --target rooms >>"$work/all.log"
size() { wc -c <"$work/out/$1" | tr -d ' '; }
[ "$("$work/all/rooms" archer.toml bow.toml arrow.toml)" = "$(size assembly.glb) $(size gauge.pdf)" ] ||
  fail "the consumer's exports are not of the program's size"
echo "mark and uncertainty in mm, by consumer and program: $ours"
