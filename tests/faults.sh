#!/bin/bash
# Breaks what can break while peepwright writes, and looks at what is left:
#   tests/faults.sh PROGRAM [KILLS]      KILLS for every kind of write, 100 when not given; ctest gives few
# After every fault each file must be, to the byte, the earlier run's or the new run's. Prints a table; the exit code is
# the number of faults that did harm. KILL_KINDS="view model" kills these writes alone, SEED=N chooses the moments. What cannot be tried here is said so.
set -u
export LC_ALL=C
program=$(realpath "$1")
kills=${2:-100}
examples=$(cd "$(dirname "$0")/../examples/first-fit" && pwd)
lab=$(mktemp -d "${TMPDIR:-/tmp}/peepwright-faults.XXXXXX")
RANDOM=${SEED:-1}
harm=0
mounted=()
clean_up() {
  for place in ${mounted[@]+"${mounted[@]}"}; do umount -l "$place" 2>/dev/null; done
  rm -rf "$lab"
}
trap clean_up EXIT
cd "$lab" || exit 99

say() { # FAULT | OUTCOME | TROUBLES
  local verdict=whole
  [ "$3" -gt 0 ] && verdict="HARM ($3)" && harm=$((harm + 1))
  printf '| %s | %s | %s |\n' "$1" "$2" "$verdict"
}
said_so() { printf '| %s | %s | not tried |\n' "$1" "$2"; }

archer=$examples/archer.toml arrow=$examples/arrow.toml before=$examples/bow.toml after=$examples/shorter-bow.toml
kinds="fit clip view model sweep draw compare" kill_kinds=${KILL_KINDS:-fit clip view model sweep draw compare} pair_kinds="fit clip model"
disks="8 24 64 160 400 1000 2400 6000 16000"
[ "$kills" -lt 10 ] && kinds="fit sweep draw" kill_kinds="fit sweep" pair_kinds=fit disks="24 400 16000" # the short form
# run KIND BOW FOLDER: the write of this kind, for one bow
run() {
  case $1 in
    fit | view | model) "$program" "$1" "$archer" "$2" "$arrow" -o "$3" --quiet ;;
    clip) "$program" gauge "$archer" "$2" "$arrow" --clip -o "$3" --quiet ;;
    sweep) sweep "$2" "$3" ;;
    draw) "$program" draw "$2" -o "$3" --quiet ;;
    compare) "$program" compare --a "$archer" "$2" "$arrow" --b "$archer" "$before" "$arrow" -o "$3" --quiet ;;
  esac
}
sweep() { # BOW FOLDER [OPTION…]
  "$program" sweep "$archer" "$1" "$arrow" --vary bow.peak_weight="40 lbf..60 lbf/0.1 lbf" -o "$2" --quiet "${@:3}"
}

# Files of $1 that are neither $2's nor $3's, and files of $2 that are gone although $3 has them too. Hidden part-files of a
# killed run and a sweep under way are no results; they are counted by `left`.
damaged() {
  local bad=0 name
  for name in $(ls "$1"); do
    case $name in *.partial.*) continue ;; esac
    cmp -s "$1/$name" "$2/$name" || cmp -s "$1/$name" "$3/$name" || { bad=$((bad + 1)); echo "  $1/$name is neither" >&2; }
  done
  for name in $(ls "$2"); do
    [ -e "$3/$name" ] && [ ! -e "$1/$name" ] && { bad=$((bad + 1)); echo "  $1/$name is gone" >&2; }
  done
  echo $bad
}
same() { diff -rq "$1" "$2" >&2; }
left() { find "$1" -name '.*.??????' -o -name '*.partial.*' | wc -l; }

for kind in $kinds; do
  for which in before after; do
    run $kind "${!which}" "$which-$kind" 2>error || { echo "$kind does not run:" >&2; cat error >&2; exit 99; }
  done
done
printf '| fault | what happened | earlier results |\n| --- | --- | --- |\n'

# --- killed ---
now_us() { echo $((${EPOCHREALTIME/./})); }
wait_us() { sleep "$(printf '%d.%06d' $(($1 / 1000000)) $(($1 % 1000000)))"; }
# The program's own words for `run KIND after work`, so that a signal meets it and no shell around it.
words() {
  case $1 in
    clip) command=(gauge "$archer" "$after" "$arrow" --clip) ;;
    sweep) command=(sweep "$archer" "$after" "$arrow" --vary "bow.peak_weight=40 lbf..60 lbf/0.1 lbf") ;;
    draw) command=(draw "$after") ;;
    compare) command=(compare --a "$archer" "$after" "$arrow" --b "$archer" "$before" "$arrow") ;;
    *) command=("$1" "$archer" "$after" "$arrow") ;;
  esac
  command=("$program" "${command[@]}" -o work --quiet)
}
calls=write,fchmod,fsync,rename,unlink,mkdir
# Every call of the program's first thread that writes into its folder, as "CALL N", its Nth of that kind.
moments() {
  strace -f -qq -o trace -e trace=$calls "${command[@]}" &&
    awk 'NR == 1 { first = $1 } $1 == first { sub(/\(.*/, "", $2); print $2, ++count[$2] }' trace
}
traced=yes
strace -qq -o /dev/null true 2>/dev/null || traced=
[ -n "$traced" ] || said_so "killed before a call that writes" "no strace here, or no right to trace"
for kind in $kill_kinds; do
  words $kind
  rm -rf work && mkdir work
  from=$(now_us)
  "${command[@]}"
  long=$(($(now_us) - from))
  moment=()
  [ -n "$traced" ] && rm -rf work && cp -a "before-$kind" work && mapfile -t moment < <(moments)
  troubles=0 struck=0 finished=0 at_call=0
  [ -z "$traced" ] || [ ${#moment[@]} -gt 0 ] || { troubles=1; echo "  no call of $kind was seen to write" >&2; }
  for ((k = 0; k < kills; ++k)); do
    rm -rf work && cp -a "before-$kind" work
    if ((k % 2)) && [ ${#moment[@]} -gt 0 ]; then # before one of its calls, all of them in turn
      j=$((k / 2)) half=$((kills / 2)) all=${#moment[@]}
      read -r call n <<<"${moment[all > half ? j * all / half : j % all]}"
      strace -f -qq -o /dev/null -e trace="$call" -e inject="$call:signal=KILL:when=$n" "${command[@]}" &&
        finished=$((finished + 1))
      at_call=$((at_call + 1))
    else # anywhere
      "${command[@]}" &
      victim=$!
      wait_us $(((RANDOM * 32768 + RANDOM) % long))
      kill -9 $victim 2>/dev/null
      wait $victim 2>/dev/null && finished=$((finished + 1))
    fi
    [ "$(left work)" -gt 0 ] && struck=$((struck + 1))
    troubles=$((troubles + $(damaged work before-$kind after-$kind)))
    if [ $kind = sweep ]; then
      # Killed before its first file, it leaves the earlier sweep alone, which is another one.
      sweep "$after" work --resume 2>error || { grep -q 'is another sweep' error && sweep "$after" work; } || { troubles=$((troubles + 1)); echo "  sweep $k did not resume" >&2; }
      find work -name '.*.??????' -delete # of the killed run: no results
      same work after-sweep || troubles=$((troubles + 1))
    elif ((k % 10 == 0)); then
      run $kind "$after" work && [ "$(damaged work after-$kind after-$kind)" = 0 ] || troubles=$((troubles + 1))
    fi
  done 2>>killed
  grep -v -e Killed -e '^$' killed >&2
  : >killed
  again="every tenth run anew: done"
  [ $kind = sweep ] && again="each resumed to the same bytes"
  say "$kind killed (SIGKILL) $kills times, $at_call of them before one of its ${#moment[@]} calls that write" \
    "$struck left files under way, $finished had finished; $again" $troubles
done

# --- two at once ---
pairs=$(((kills + 9) / 10))
for kind in $pair_kinds; do
  troubles=0
  for ((k = 0; k < pairs; ++k)); do
    rm -rf work && cp -a before-$kind work
    run $kind "$before" work & one=$!
    run $kind "$after" work & two=$!
    wait $one || troubles=$((troubles + 1))
    wait $two || troubles=$((troubles + 1))
    troubles=$((troubles + $(damaged work before-$kind after-$kind) + $(left work)))
  done
  say "two $kind runs into one folder at once, $pairs times" "both exit 0, each file is the one's or the other's" $troubles
done
troubles=0 refused=0
for ((k = 0; k < pairs; ++k)); do
  rm -rf work
  sweep "$before" work 2>error-1 & one=$!
  sweep "$after" work 2>error-2 & two=$!
  wait $one; code_1=$?
  wait $two; code_2=$?
  for code in $code_1 $code_2; do
    case $code in 0) ;; 2 | 3) refused=$((refused + 1)) ;; *) troubles=$((troubles + 1)); echo "  exit $code" >&2 ;; esac
  done
  [ $code_1 = 0 ] || [ $code_2 = 0 ] || { troubles=$((troubles + 1)); cat error-1 error-2 >&2; }
  troubles=$((troubles + $(damaged work before-sweep after-sweep)))
done
say "two sweeps into one folder at once, $pairs times" "$refused refused in words, the other whole" $troubles

# --- full disk ---
small_disk() { # FOLDER KB
  mkdir -p "$1" && mount -t tmpfs -o size="$2"k none "$1" 2>/dev/null && mounted+=("$1")
}
if small_disk disk 64; then
  umount disk
  for kind in $kinds; do
    troubles=0 refused=0 extra=0
    used=$(du -sk before-$kind | cut -f1)
    for extra in $disks; do
      small_disk disk $((used + extra)) && cp -a before-$kind/. disk/ 2>/dev/null
      run $kind "$after" disk 2>error
      case $? in
        0) code=0 ;;
        3) code=3 refused=$((refused + 1)); grep -q 'No space' error || { troubles=$((troubles + 1)); cat error >&2; } ;;
        *) code=4 troubles=$((troubles + 1)); cat error >&2 ;;
      esac
      troubles=$((troubles + $(damaged disk before-$kind after-$kind)))
      if [ $code = 3 ] && [ $kind = sweep ]; then # room again: it goes on
        mount -o remount,size=64m disk
        sweep "$after" disk --resume && same disk after-sweep || troubles=$((troubles + 1))
      elif [ $code = 3 ]; then
        [ "$(left disk)" = 0 ] || troubles=$((troubles + 1))
      fi
      umount disk
      [ $code = 0 ] && break
    done
    say "$kind on a full disk" "$refused times exit 3, no space; with $extra kB free exit 0" $troubles
  done
else
  said_so "a full disk" "no right to mount one"
fi
for kind in $kinds; do
  troubles=0 refused=0
  for blocks in 1 8 64 512; do # of 1024 bytes
    rm -rf work && cp -a before-$kind work
    (trap '' XFSZ; ulimit -f $blocks; run $kind "$after" work 2>error)
    case $? in 0) ;; 3) refused=$((refused + 1)) ;; *) troubles=$((troubles + 1)); cat error >&2 ;; esac
    troubles=$((troubles + $(damaged work before-$kind after-$kind)))
  done
  say "$kind with files limited to 1, 8, 64, 512 kB" "$refused times exit 3" $troubles
done

# --- no right to write ---
read_only() { # a folder that this user cannot write into
  rm -rf work
  if [ "$(id -u)" = 0 ]; then
    small_disk work 65536 && cp -a "$1/." work/ && mount -o remount,ro work
  else
    cp -a "$1" work && chmod 555 work
  fi
}
for kind in $kinds; do
  if read_only before-$kind; then
    run $kind "$after" work 2>error
    code=$?
    troubles=$(damaged work before-$kind before-$kind)
    [ $code = 3 ] || { troubles=$((troubles + 1)); cat error >&2; }
    say "$kind into a read-only folder" "exit $code" "$troubles"
  else
    said_so "$kind into a read-only folder" "no right to mount one"
  fi
  chmod 755 work 2>/dev/null
  umount work 2>/dev/null
done

# --- clock ---
dated() { # NAME COMMAND…: every kind under it gives the same bytes
  local troubles=0 kind
  for kind in fit sweep draw; do
    rm -rf work
    case $kind in
      fit) "${@:2}" "$program" fit "$archer" "$after" "$arrow" -o work --quiet ;;
      sweep) "${@:2}" "$program" sweep "$archer" "$after" "$arrow" --vary bow.peak_weight="40 lbf..60 lbf/0.1 lbf" -o work --quiet ;;
      draw) "${@:2}" "$program" draw "$after" -o work --quiet ;;
    esac || troubles=$((troubles + 1))
    if [[ $1 == SOURCE_DATE_EPOCH* ]]; then # it dates the PDFs, by its convention, and nothing else
      (cd work && ls) | diff - <(ls after-$kind) >&2 || troubles=$((troubles + 1))
      rm -f work/*.pdf
      troubles=$((troubles + $(damaged work work after-$kind) + $(for f in work/*; do cmp -s "$f" "after-$kind/${f#work/}" || echo x; done | wc -l)))
    else
      same work after-$kind || troubles=$((troubles + 1))
    fi
  done
  local same="the same bytes"
  [[ $1 == SOURCE_DATE_EPOCH* ]] && same="the same bytes but for the date in PDFs"
  say "$1: fit, sweep, draw" "$same" $troubles
}
for epoch in 0 4102444800; do dated "SOURCE_DATE_EPOCH=$epoch" env SOURCE_DATE_EPOCH=$epoch; done
if command -v faketime >/dev/null; then
  for clock in '1970-01-01 00:00:01' '2100-02-28 23:59:59'; do dated "clock at ${clock%% *}" faketime "$clock"; done
else
  said_so "clock at 1970 and 2100" "no faketime here"
fi

# --- decimal comma ---
mkdir locales
if localedef -i de_DE -f UTF-8 locales/de_DE.UTF-8 2>/dev/null &&
  [ "$(LOCPATH=$lab/locales LC_ALL=de_DE.UTF-8 bash -c 'printf "%.1f" 1,5' 2>/dev/null)" = 1,5 ]; then
  dated "decimal comma (de_DE.UTF-8, made here)" env "LOCPATH=$lab/locales" LC_ALL=de_DE.UTF-8
  for command in keys "verify $archer $before $arrow --mark 130mm --height 95mm"; do
    "$program" $command >plain
    LOCPATH=$lab/locales LC_ALL=de_DE.UTF-8 "$program" $command >comma
    cmp -s plain comma
    say "decimal comma: ${command%% *}" "the same text" $?
  done
else
  said_so "decimal comma" "no localedef with de_DE here"
fi

# --- names ---
label='Bögenmacher Łukasz Ωμέγα Жар'
step_label='B\X2\00F6\X0\genmacher \X2\0141\X0\ukasz \X2\03A9\X0\'
folder='Füße/弓 и стрела/a b '"'"'c'
mkdir -p "$folder"
printf '[bow]\nlabel = "%s"\n' "$label" >"$folder/éтикетка.toml"
troubles=0
"$program" fit "$archer" "$before" "$arrow" "$folder/éтикетка.toml" --svg-text -o "$folder/out ß" >said || troubles=$((troubles + 1))
grep -q "Written to $folder/out ß" said || troubles=$((troubles + 1))
grep -q "\"$label\"" "$folder/out ß/fit.json" || { troubles=$((troubles + 1)); echo "  JSON" >&2; }
grep -qF "$step_label" <(tr -d '\n' <"$folder/out ß/assembly.step") || { troubles=$((troubles + 1)); echo "  STEP" >&2; }
[ "$(tr -d '\000-\177' <"$folder/out ß/assembly.step" | wc -c)" = 0 ] || { troubles=$((troubles + 1)); echo "  STEP is not ASCII" >&2; }
grep -qF "$label" <(sed 's/<[^>]*>//g' "$folder/out ß/side-view.svg") || { troubles=$((troubles + 1)); echo "  SVG" >&2; }
if command -v pdftotext >/dev/null; then
  for sheet in side-view fit-sheet gauge; do
    pdftotext "$folder/out ß/$sheet.pdf" - | tr '\n' ' ' | grep -qF "$label" || { troubles=$((troubles + 1)); echo "  $sheet.pdf" >&2; }
  done
fi
rm -f "$folder/out ß/fit.json"
say "names and labels in Latin, Greek, Cyrillic, Chinese letters" "right in paths, JSON, SVG and PDF text, STEP by \\X2\\" $troubles

refusal() { # FAULT PATTERN COMMAND…: exit 2 and a sentence of bounded length
  local troubles=0
  rm -rf none
  "${@:3}" >said 2>error
  local code=$?
  [ $code = 2 ] || troubles=1
  grep -q "$2" error || { troubles=$((troubles + 1)); head -c 500 error >&2; }
  [ "$(wc -c <error)" -lt 2000 ] || troubles=$((troubles + 1))
  [ -e none ] && troubles=$((troubles + 1))
  say "$1" "exit $code: $(head -c 150 error | head -1 | sed "s|$lab/||g; s/|/\\\\|/g")" $troubles
}
long_label() { printf '[bow]\nlabel = "%s"\n' "$(head -c "$1" /dev/zero | tr '\0' x)" >long.toml; }
long_label 1048576
refusal "a label of 1 MB" 'up to 1048576 bytes' "$program" fit "$archer" "$before" "$arrow" long.toml -o none
long_label 1000000
refusal "a label of 1 000 000 bytes" 'at most 1000' "$program" fit "$archer" "$before" "$arrow" long.toml -o none
refusal "--date of 100 kB" 'at most' "$program" fit "$archer" "$before" "$arrow" --date "$(head -c 100000 /dev/zero | tr '\0' x)" -o none

# --- links ---
troubles=0
rm -rf work real && mkdir real && ln -s real work
run fit "$before" work || troubles=1
same real before-fit || troubles=$((troubles + 1))
[ -L work ] || troubles=$((troubles + 1))
say "the folder is a link to a folder" "written into the folder it names" $troubles
rm -rf work real && mkdir work && echo precious >elsewhere
for name in fit.json gauge.pdf; do ln -s ../elsewhere work/$name; done
run fit "$before" work
troubles=$?
same work before-fit || troubles=$((troubles + 1))
[ "$(cat elsewhere)" = precious ] || troubles=$((troubles + 1))
[ -L work/fit.json ] && troubles=$((troubles + 1))
say "a result's name is a link to another file" "the link is replaced, the other file untouched" $troubles
rm -rf work && mkdir work && for name in csv json; do ln -s ../elsewhere work/sweep.partial.$name; done
sweep "$before" work 2>error
code=$?
sweep "$before" work --resume 2>>error
[ "$(cat elsewhere)" = precious ]
say "a sweep's partial table is a link to another file" "exit $code, the other file untouched" $?
rm -rf work && mkdir work && ln -s ../elsewhere work/sweep.partial.csv
sweep "$before" work 2>error
code=$?
[ "$(cat elsewhere)" = precious ]
say "the same without its .json" "exit $code, the other file untouched" $?
rm -rf work && ln -s nowhere work
run fit "$before" work 2>error
code=$?
troubles=0
case $code in 0) same nowhere before-fit || troubles=1 ;; 3) [ ! -e nowhere ] || troubles=1 ;; *) troubles=1 ;; esac
say "the folder is a link to nothing" "exit $code" $troubles
rm -rf work && ln -s work work
run fit "$before" work 2>error
code=$?
troubles=1
[ $code = 3 ] && troubles=0
say "the folder is a link to itself" "exit $code" $troubles
exit $harm
