#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What a block of 64 frames at 48 kHz costs, in instructions as callgrind counts them: the same whatever
# else runs on the machine. Such a block lasts 1.33 ms, and a quarter of that, 333 us, is the promise for
# the slowest: 700,000 instructions on a processor that does 2.1 in a nanosecond, which is a slow one.
# pinned: the other limits are a third over what it took when they were written.
# The loads are those of tests/test_audio_thread.c. usual: three notes, cues, words. heaviest: all twelve
# notes that may be held, low and bowed, under struck cues, ticks and words. struck: a drone that is
# struck again and again, under chords of a hand.
set -u
build=${BUILD:-build}
case $build in */asan* | */tsan* | */coverage*) echo "1..0 # SKIP its instructions are not the program's"; exit 0 ;; esac
grep -q avx2 /proc/cpuinfo || { echo "1..0 # SKIP another width of vectors has other counts"; exit 0; }
command -v valgrind >/dev/null || { echo "1..0 # SKIP no valgrind"; exit 0; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
number=0
check() { # STATUS TEXT
    number=$((number + 1))
    if [ "$1" -eq 0 ]; then echo "ok $number - $2"; else echo "not ok $number - $2"; fi
}
echo "1..6"
while read -r load slowest mean; do
    # A dump a call: each has the cost of one block.
    valgrind --tool=callgrind --toggle-collect=hf_engine_render --dump-after=hf_engine_render \
        --callgrind-out-file="$work/$load" "$build/tests/test_audio_thread" blocks "$load" >"$work/log" 2>&1 </dev/null
    read -r blocks total most < <(find "$work" -name "$load.*" -exec sed -n 's/^\(summary\|totals\): *//p' {} + |
        awk '{ n++; sum += $1; if ($1 > most) most = $1 } END { print n + 0, int(sum / (n + !n)), most + 0 }')
    [ "$blocks" -gt 1000 ] || sed -n '$s/^/# /p' "$work/log"
    [ "$blocks" -gt 1000 ] && [ "$most" -gt 10000 ] && [ "$most" -le "$slowest" ]
    check $? "$load: the slowest of $blocks blocks takes $most instructions, of $slowest at most"
    [ "$total" -gt 10000 ] && [ "$total" -le "$mean" ]
    check $? "$load: a block takes $total on the mean, of $mean at most"
done <<'END'
usual 275000 145000
heaviest 700000 310000
struck 180000 110000
END
