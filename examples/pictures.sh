#!/bin/sh
# Makes the pictures of the guides anew: sh examples/pictures.sh PROGRAM. Needs pdftoppm (poppler-utils).
set -eu
cd "$(dirname "$0")"
program=${1:?which program: for example build/dev/cli/peepwright}
case $program in /*) ;; *) program=$OLDPWD/$program ;; esac
work=$(mktemp -d)
trap 'rm -r "$work"' EXIT
archer=first-fit/archer.toml bow=first-fit/bow.toml arrow=first-fit/arrow.toml
page() { pdftoppm -r "$3" -gray -png -singlefile "$1" "pictures/$2"; }
mkdir -p pictures
"$program" new "$work/new" >"$work/log"
page "$work/new/measure-sheet.pdf" measure-sheet 100
"$program" fit $archer $bow $arrow --quiet -o "$work/fit"
page "$work/fit/side-view.pdf" side-view 110
page "$work/fit/fit-sheet.pdf" fit-sheet 90
page "$work/fit/gauge.pdf" strip 70
"$program" compare --a $archer $arrow $bow --b $archer $arrow first-fit/shorter-bow.toml -o "$work/compare" >"$work/log"
page "$work/compare/compare.pdf" compare 100
"$program" sweep $archer $arrow survey-face/bow.toml --vary bow.axle_to_axle="28 in..36 in/1 in" --uncertainty --quiet -o "$work/axles"
"$program" sweep $arrow survey-face/bow.toml --vary bow.axle_to_axle="28 in..36 in/2 in" --population adult-male:60:1 --quiet -o "$work/faces"
page "$work/axles/sweep-mark-bow-axle-to-axle.pdf" sweep-mark 80
page "$work/faces/sweep-clear-bow-axle-to-axle.pdf" sweep-share 80
