#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What lesson pages cost: one of 20 minutes with its sound, and a class of 300 without.
set -eu
build=${BUILD:-build}
there=$(mktemp -d)
trap 'rm -rf "$there"' EXIT
export program=$build/holdfast there
TIMEFORMAT=%R

time=$({ time "$program" sheet --held 'C E G#' --for 20m --seed 1 -o "$there/long.html" >/dev/null; } 2>&1)
size=$(wc -c <"$there/long.html")
printf 'a lesson page of 20 minutes      %s s (target: under 10), %s MB (target: under 6)\n' \
    "$time" "$(awk "BEGIN { printf \"%.2f\", $size / 1e6 }")"
time=$({ time seq 1 300 | xargs -P2 -I{} "$program" sheet --synth --for 5m --seed {} --label 'Student {}' \
    -o "$there/{}.html" >/dev/null; } 2>&1)
size=$(wc -c <"$there/300.html")
printf '300 pages of 5 minutes, --synth  %s s (target: under 60), %s kB each (target: under 200)\n' \
    "$time" "$((size / 1000))"
