#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What the queries cost: as multiples of a program that is linked with the same libraries and does
# nothing, and the two that try everything in seconds. Figures to read, no test.
set -eu
build=${BUILD:-build}
spawn=$build/tests/bench/spawn
program=$build/holdfast
empty=$("$spawn" 300 "$spawn")
printf 'empty program, same libraries   %s ms\n' "$empty"
figure() {
    local label=$1 cost
    shift
    cost=$("$spawn" 300 "$program" "$@")
    awk -v label="$label" -v cost="$cost" -v empty="$empty" \
        'BEGIN { printf "%-30s  %s ms  %.2f times the empty one (target: at most 2)\n", label, cost, cost / empty }'
}
figure 'complete C E G#' complete 'C E G#'
figure 'complete C E G# --json' complete 'C E G#' --json
figure 'inspect a hexachord' inspect 012478
figure 'inspect a hexachord --json' inspect 012478 --json
figure 'pairings --held 3-12 --size 3' pairings --held 3-12 --size 3
figure 'shapes C E G#' shapes 'C E G#'

lists=$(mktemp)
trap 'rm -f "$lists"' EXIT
awk 'BEGIN { for (set = 0; set < 4096; set++) { line = ""; rest = set
       for (pc = 0; pc < 12; pc++) { if (rest % 2) line = line " " pc; rest = int(rest / 2) }
       print line == "" ? "{}" : line } }' >"$lists"
seconds() {
    local label=$1 time
    shift
    TIMEFORMAT=%R
    time=$( { time "$@" >/dev/null; } 2>&1)
    printf '%-30s  %s s (target: under 1)\n' "$label" "$time"
}
seconds 'inspect -, all 4096 sets' "$program" inspect - <"$lists"
seconds 'pairings --all' "$program" pairings --all --json
