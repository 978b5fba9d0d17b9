#!/bin/sh
# From a fresh clone on a bare Debian 12 to a printed strip: installs what is missing (as root or with sudo),
# builds, and runs the first example. Results go to out/first-fit.
set -eu
cd "$(dirname "$0")/.."
sh .ci/install build
cmake --workflow --preset release >&2
build/release/cli/peepwright fit examples/first-fit/archer.toml examples/first-fit/bow.toml \
    examples/first-fit/arrow.toml -o out/first-fit "$@"
