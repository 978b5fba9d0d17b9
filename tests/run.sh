#!/bin/sh
# Every test, on a bare Debian 12: installs what is missing (as root or with sudo), builds, runs ctest.
set -eu
cd "$(dirname "$0")/.."
sh .ci/install tests
cmake --workflow --preset dev
