#!/bin/sh
# Looks for races between threads: the sweeps' tests, then the program's commands that work in several threads, under the
# thread sanitizer. oneTBB is built from Debian's source with the sanitizer in it, as one that is not cannot tell the
# order it keeps between a sweep's stages. Needs the network (apt sources) once. Not a part of CI.
set -eu
cd "$(dirname "$0")/.."
onetbb=$PWD/build/onetbb
if ! [ -e "$onetbb"/built/libtbb.so.12 ]; then
  rm -rf "$onetbb"
  mkdir -p "$onetbb"/apt/lists/partial "$onetbb"/apt/archives/partial "$onetbb"/apt/parts
  cat > "$onetbb"/apt/conf <<EOF
Dir::Etc::sourcelist "$onetbb/apt/sources.list";
Dir::Etc::sourceparts "$onetbb/apt/parts";
Dir::State::lists "$onetbb/apt/lists";
Dir::Cache "$onetbb/apt";
APT::Sandbox::User "";
EOF
  # Wherever this machine has Debian's packages from, their sources are, too.
  [ ! -e /etc/apt/sources.list ] || sed 's/^deb /deb-src /' /etc/apt/sources.list > "$onetbb"/apt/sources.list
  [ ! -e /etc/apt/sources.list.d/debian.sources ] ||
    sed 's/^Types:.*/Types: deb-src/' /etc/apt/sources.list.d/debian.sources > "$onetbb"/apt/parts/debian.sources
  (
    cd "$onetbb"
    export APT_CONFIG="$onetbb"/apt/conf
    apt-get update -q && apt-get source -q onetbb
    cmake -S onetbb-* -B work -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo -DTBB_SANITIZE=thread -DTBB_TEST=OFF \
      -DTBBMALLOC_BUILD=OFF -DTBB_STRICT=OFF
    cmake --build work -j2
    mkdir built
    cp -d work/*/libtbb.so* built
  )
fi
cmake --preset thread
cmake --build --preset thread -j2

export LD_LIBRARY_PATH="$onetbb"/built
results=$(mktemp -d)
trap 'rm -rf "$results"' EXIT
program=build/thread/cli/peepwright
archer=examples/first-fit/archer.toml
bow=examples/first-fit/bow.toml
arrow=examples/first-fit/arrow.toml
ldd $program | grep -q "libtbb.so.12 => $onetbb/built" || { echo "the program does not run on the oneTBB made here" >&2; exit 1; }
build/thread/tests/test_sweep --gtest_brief=1
build/thread/tests/test_sweep_files --gtest_brief=1
$program sweep $arrow examples/survey-face/bow.toml --population adult-male:200:1 --vary bow.axle_to_axle="28 in..36 in/2 in" \
  --quiet -o "$results"/sweep
$program fit $archer $bow $arrow --quiet -o "$results"/fit
$program gauge --clip $archer $bow $arrow --quiet -o "$results"/clip
$program view $archer $bow $arrow --quiet -o "$results"/view
$program model $archer $bow $arrow --quiet -o "$results"/model
echo "no race found"
