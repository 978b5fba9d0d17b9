#!/bin/sh
# One sweep in N parts at once on this machine, with GNU parallel, then joined:
#   sh examples/sweep-parts.sh 4 out/many bow.toml --population adult-male:1000 --vary 'bow.axle_to_axle=28 in..36 in/1 in'
# Run it again after a failure or a power cut: parts go on from where they were.
set -eu
parts=$1 folder=$2
shift 2
program=${PEEPWRIGHT:-peepwright}
mkdir -p "$folder/parts"
# Each part runs on one thread; PARALLEL_JOBS of them at a time, without it one a core.
# --quote hands spaces and quotes in the options on as they are.
parallel --quote --halt soon,fail=1 ${PARALLEL_JOBS:+--jobs "$PARALLEL_JOBS"} \
    "$program" sweep "$@" --threads 1 --quiet --resume --part "{}/$parts" -o "$folder/parts" ::: $(seq "$parts")
set --
for part in $(seq "$parts"); do set -- "$@" "$folder/parts/sweep-$part-of-$parts.csv"; done
"$program" merge "$@" -o "$folder"
