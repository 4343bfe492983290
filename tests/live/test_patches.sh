#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# patches --play: heard on the sound output, and left with a fade when a signal comes.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

status=0
"$holdfast" patches flute --play >"$work/out" 2>"$work/err" || status=$?
ok without_an_output_it_says_so [ "$status" -eq 69 ]

rig_start
rig_record "$work/cap.wav" 5
"$holdfast" patches struck-bar --play >"$work/out" 2>"$work/err" &
player=$!
for _ in $(seq 100); do # until its first piece is told
    grep -q 'struck-bar on C E G#' "$work/out" && break
    sleep 0.05
done
ok the_piece_that_sounds_is_told grep -q 'struck-bar on C E G#' "$work/out"
sleep 1.5
kill -TERM "$player"
status=0
wait "$player" || status=$?
rig_recorded
ok a_signal_ends_it_with_its_own_status [ "$status" -eq 143 ]
ok nothing_is_said_of_an_error [ ! -s "$work/err" ]

# Loud while it plays, silent in the end, and no jump on the way.
cat >"$work/look.awk" <<'AWK'
NR > 1 { d = $1 - last; if (d < 0) d = -d; if (d > jump) jump = d }
{ last = $1; a = $1 < 0 ? -$1 : $1; if (a > peak) peak = a; end[NR % 4800] = a }
END { for (i in end) if (end[i] > tail) tail = end[i]
      exit !(peak > 2e7 && tail == 0 && jump < peak / 2) }
AWK
ok it_was_heard_and_faded sh -c "od -An -v -t d4 -w8 -j 4096 '$work/cap.wav' | awk '{ print \$1 }' | awk -f '$work/look.awk'"
rig_end
