#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The sine bank beside csound on the same work, in one run; then beside the arithmetic limit, and the
# strict build beside one with relaxed arithmetic. Figures to read, no test.
set -eu
build=${BUILD:-build}
bank=$build/tests/bench/bank
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
rounds=3
seconds_of() { case $1 in W3) echo 6 ;; *) echo 30 ;; esac; }
TIMEFORMAT='%U %S'

# Processor seconds of csound for a document, without its start (a document of 0.1 s).
csound_once() {
    local times
    times=$( { time csound -d -m0 -n "$1" >/dev/null 2>&1; } 2>&1)
    awk '{ print $1 + $2 }' <<<"$times"
}
least() { sort -g | head -n 1; }

have_csound=yes
command -v csound >/dev/null 2>&1 || have_csound=
if [ -n "$have_csound" ]; then
    for opcode in poscil oscili; do
        "$bank" score W1 "$opcode" 12 >"$work/check.csd"
        csound -d -m0 -W -f -o "$work/check.wav" "$work/check.csd" >/dev/null 2>&1
        off=$("$bank" check W1 "$work/check.wav") || { echo "csound $opcode does other work: $off dB off"; exit 1; }
        echo "csound $opcode holds the same partials: within $off dB"
        "$bank" score W1 "$opcode" 0.1 >"$work/empty-$opcode.csd"
    done
else
    echo 'csound is not installed: no comparison'
fi

for name in W1 W2 W3; do
    length=$(seconds_of $name)
    declare -A best=()
    for opcode in poscil oscili; do
        "$bank" score $name $opcode "$length" >"$work/$name-$opcode.csd"
    done
    # Round robin, so that a busy moment hits all alike.
    for round in $(seq $rounds); do
        for width in $("$bank" widths); do
            "$bank" time $name "$width" "$length" >>"$work/$name-$width"
        done
        [ -n "$have_csound" ] || continue
        for opcode in poscil oscili; do
            csound_once "$work/$name-$opcode.csd" >>"$work/$name-$opcode"
            csound_once "$work/empty-$opcode.csd" >>"$work/empty-$opcode"
        done
    done
    line="$name:"
    for opcode in poscil oscili; do
        [ -n "$have_csound" ] || continue
        best[$opcode]=$(awk -v a="$(least <"$work/$name-$opcode")" -v b="$(least <"$work/empty-$opcode")" 'BEGIN { print a - b }')
        line="$line csound $opcode $(awk -v c="${best[$opcode]}" -v l="$length" 'BEGIN { printf "%.0f", l / c }') x real time,"
    done
    echo "$line ${length} s of sound"
    for width in $("$bank" widths); do
        cost=$(least <"$work/$name-$width")
        awk -v w="$width" -v c="$cost" -v l="$length" -v p="${best[poscil]:-0}" -v o="${best[oscili]:-0}" 'BEGIN {
            printf "  holdfast %-7s %5.0f x real time", w, l / c
            if (p > 0) printf "   %.1f x poscil, %.1f x oscili", p / c, o / c
            print "" }'
    done
done
echo 'targets: W1 plain 2.5 and 1.5, avx2 4.5 and 2.7, avx512 8 and 5; W2 plain 2.5, avx512 6 (of poscil, oscili)'

echo 'a partial-sample beside the arithmetic limit (operations, limit ns, ours ns, ratio; target: at most 2)'
for width in $("$bank" widths); do
    printf '  %-7s %s\n' "$width" "$("$bank" limit "$width")"
done

# The same source with relaxed arithmetic for this machine alone.
if ${CC:-cc} -std=c11 -O3 -march=native -ffast-math -D_POSIX_C_SOURCE=200809L -Iinclude -Itests \
    $(pkg-config --cflags fftw3 sndfile inih) -o "$work/loose" tests/bench/bank.c \
    src/sound/{vector*,sine,patch*,struck,room,ceiling,loudness}.c src/base/{number,status,text,random,inifile}.c \
    "$build/gen/builtin.o" "$build/tests/libmeasure.a" \
    $(pkg-config --libs fftw3 sndfile inih) -lm 2>"$work/errors"; then
    for width in $("$bank" widths); do
        for round in $(seq $rounds); do
            "$bank" time W1 "$width" 30 >>"$work/strict-$width"
            "$work/loose" time W1 "$width" 30 >>"$work/loose-$width"
        done
        awk -v w="$width" -v s="$(least <"$work/strict-$width")" -v l="$(least <"$work/loose-$width")" \
            'BEGIN { printf "strict against -O3 -march=native -ffast-math, %-7s %.2f\n", w, s / l }'
    done
    echo '(target: at most 1.25 for the widest)'
else
    echo 'the build with relaxed arithmetic failed:' && head -n 3 "$work/errors"
fi
