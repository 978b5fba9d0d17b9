#!/bin/bash
# Runs every fuzzer for a while, one after another, each from the seeds in corpus/ and what earlier runs found:
#   tests/fuzz/run.sh [SECONDS_EACH] [TARGET…]
# Prints executions and edges per target. What brings one down is left in build/fuzz/found/TARGET: mend it, make it small
# (-minimize_crash=1) and keep it in tests/fuzz/crashes/TARGET, where every test run replays it.
set -u
here=$(cd "$(dirname "$0")" && pwd)
build=$here/../../build/fuzz
seconds=${1:-60}
shift
targets=${*:-quantity spec mesh_ply mesh_obj mesh_stl sweep_resume force_draw}
status=0
printf '%-14s %12s %8s %8s %8s %8s\n' target executions edges seconds cpu_s found
for target in $targets; do
  grown=$build/grown/$target found=$build/found/$target log=$build/$target.log
  mkdir -p "$grown" "$found"
  words=$here/${target%%_*}.dict
  [ "$target" = sweep_resume ] && words=$here/sweep_resume.dict
  dict=()
  [ -f "$words" ] && dict=("-dict=$words")
  seeds=("$here/corpus/$target")
  [ -d "$here/crashes/$target" ] && seeds+=("$here/crashes/$target")
  before=$(ls "$found" | wc -l)
  TIMEFORMAT='%U %S'
  cpu=$( { time nice -n 5 "$build/tests/fuzz/fuzz_$target" "$grown" "${seeds[@]}" "${dict[@]}" -max_total_time="$seconds" \
    -max_len=8192 -timeout=10 -rss_limit_mb=1024 -malloc_limit_mb=512 -print_final_stats=1 -artifact_prefix="$found/" \
    >"$log" 2>&1; } 2>&1 | awk '{ printf "%.0f", $1 + $2 }')
  executions=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
  edges=$(grep -o 'cov: [0-9]*' "$log" | tail -1 | cut -d' ' -f2)
  fresh=$(($(ls "$found" | wc -l) - before))
  [ "$fresh" -gt 0 ] && status=1
  printf '%-14s %12s %8s %8s %8s %8s\n' "$target" "${executions:-?}" "${edges:-?}" "$seconds" "$cpu" "$fresh"
done
exit $status
