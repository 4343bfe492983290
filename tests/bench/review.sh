#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What a review of ten million records costs (ten thousand sessions of a thousand records), without
# and with the index; beside reading the bytes alone, and beside the strict reader. Figures to read,
# no test. RECORDS and JOURNALS change the size; a thousand of a thousand are 120 MB.
set -eu
build=${BUILD:-build}
bench=$build/tests/bench/review
journals=${JOURNALS:-10000} records=${RECORDS:-1000}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$bench" make "$work" "$journals" "$records"
sample=$((journals < 200 ? journals : 200))
TIMEFORMAT='%U %S'
for round in 1 2 3; do
    { time cat "$work"/*.jsonl >/dev/null; } 2>>"$work/cat"
    "$bench" cold "$work" >>"$work/cold"
    for _ in 1 2 3 4 5; do "$bench" warm "$work" >>"$work/warm"; done
    "$bench" strict "$work" "$sample" >>"$work/strict"
done
least() { sort -g | head -n 1; }
bytes=$(cat "$work"/*.jsonl | wc -c)
cat=$(awk '{ print ($1 + $2) * 1000 }' "$work/cat" | least)
strict=$(least <"$work/strict")
awk -v n="$((journals * records))" -v b="$bytes" 'BEGIN { printf "%.0f records in %.2f GB\n", n, b / 1e9 }'
cut -d' ' -f1,2,5 "$work/cold" | sort -g | head -n 1 | awk -v cat="$cat" -v strict="$strict" -v share="$((journals / sample))" '{
    printf "cold  %.2f s (target: under 10), %.1f MiB (target: under 64); processor %.2f s, %.1f times cat, %.1f times as fast as the strict reader\n",
        $1 / 1000, $2, $3 / 1000, $3 / cat, strict * share / $3 }'
cut -d' ' -f1,2,5 "$work/warm" | sort -g | head -n 1 |
    awk '{ printf "warm  %.1f ms (target: under 50), %.1f MiB; processor %.1f ms\n", $1, $2, $3 }'
