#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# check.sh PROGRAM FOLDER: the GLB of every example through the Khronos glTF validator, which npm installs into FOLDER
# in the version of package-lock.json. Exit code 77, with the reason in words, when it cannot be had.
set -eu
program=$1 folder=$2 here=$(cd "$(dirname "$0")" && pwd)
skip() { echo "SKIPPED: the Khronos validator was not run: $*"; exit 77; }

mkdir -p "$folder"
cd "$folder"
if ! cmp -s "$here/package-lock.json" package-lock.json || [ ! -d node_modules/gltf-validator ]; then
  command -v node >/dev/null || skip "there is no node (Debian package nodejs)"
  command -v npm >/dev/null || skip "there is no npm (Debian package npm)"
  cp "$here/package.json" .
  cp "$here/package-lock.json" fresh.json
  rm -f package-lock.json
  mv fresh.json package-lock.json
  if ! timeout 120 npm ci --ignore-scripts --no-audit --no-fund --fetch-retries=1 --fetch-retry-mintimeout=2000 >npm.log 2>&1; then
    rm -f package-lock.json # so that the next run tries again
    # A package that is not what the lock says must not pass for a network that is down.
    if grep -q EINTEGRITY npm.log; then cat npm.log; exit 1; fi
    skip "npm could not install it: $(grep -m1 -E 'code|ERR|error' npm.log || echo 'no answer in 120 s')"
  fi
fi

examples=$here/../../examples
rm -rf glb
"$program" model "$examples/first-fit/archer.toml" "$examples/first-fit/bow.toml" "$examples/first-fit/arrow.toml" -o glb/first-fit >/dev/null
"$program" model "$examples/left-handed/fit.toml" -o glb/left-handed >/dev/null
"$program" model "$examples/tied-too-low/fit.toml" -o glb/tied-too-low >/dev/null
node "$here/check_glb.js" glb/*/assembly.glb

# A test that cannot fail is none: an index past the last vertex must be found.
node -e '
const fs = require("fs"), bytes = fs.readFileSync("glb/first-fit/assembly.glb");
bytes.writeUInt32LE(0x7fffffff, bytes.length - 4);
fs.writeFileSync("glb/damaged.glb", bytes);'
if node "$here/check_glb.js" glb/damaged.glb >damaged.log; then echo "the validator let a damaged file pass"; exit 1; fi
grep -q ACCESSOR_INDEX_OOB damaged.log || { cat damaged.log; exit 1; }
