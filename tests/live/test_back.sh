#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The sound server goes away in the middle of a session and is there again some seconds later: the
# session goes on at the same cue, and its journal replays what was heard.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl

# wait_for FILE TEXT
wait_for() {
    for _ in $(seq 400); do
        grep -q "$2" "$1" 2>/dev/null && return
        sleep 0.05
    done
}

types() {
    sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' '
}

# recorded STATUS TYPES - play ended so, its journal's types match this pattern
recorded() {
    cat "$work/out" "$work/err"
    types
    [ "$status" -eq "$1" ] && case "$(types)" in $2) true ;; *) false ;; esac
}

# held - the silence in the session is as long as the server was away, give or take what it takes to
# notice and to open: the clock stood
held() {
    sed -n 's/.*"t":"resume".*"after":\([0-9]*\).*/\1/p' "$journal"
    awk -v samples="$(sed -n 's/.*"t":"resume".*"after":\([0-9]*\).*/\1/p' "$journal")" \
        'BEGIN { seconds = samples / 48000; exit !(seconds > 1.5 && seconds < 10) }'
}

for signal in KILL TERM STOP; do
    rig_start
    "$holdfast" play --held 'C E G#' --seed 7 --every 1s --lead-in 0s --rounds 1 --journal "$journal" \
        </dev/null >"$work/out" 2>"$work/err" &
    player=$!
    wait_for "$work/out" '2 of 6'
    kill -"$signal" "$server"
    sleep 3
    rig_stop
    rig_start
    rig_record "$work/cap.wav" 12
    status=0
    wait "$player" || status=$?
    rig_recorded
    ok "after_SIG${signal}_the_session_goes_on_at_the_same_cue" \
        recorded 0 'session hold cue cue cue lost resume cue cue cue end '
    ok "after_SIG${signal}_the_clock_stood_meanwhile" held
    ok "after_SIG${signal}_nothing_is_on_stderr" test ! -s "$work/err"
    "$holdfast" replay "$journal" --bits float -o "$work/replay.wav" >/dev/null
    ok "after_SIG${signal}_the_rest_is_heard_as_it_replays" \
        "$helpers/same" --rest "$work/cap.wav" "$work/replay.wav"
    rm -f "$journal" "$work/cap.wav" "$work/replay.wav"
    rig_stop
done 2>/dev/null # the shell's own word on a server that was killed
# ---- another day ----

rig_start
"$holdfast" play --held 'C E G#' --seed 7 --every 1s --lead-in 0s --rounds 1 </dev/null \
    >"$work/out" 2>"$work/err" &
player=$!
wait_for "$work/out" '3 of 6'
kill -TERM "$player"
wait "$player" 2>/dev/null
old=$(sed -n 's/^Go on:  .* play --resume //p' "$work/out")
ok the_end_tells_how_to_go_on test -s "$old"
"$holdfast" play --resume </dev/null >"$work/out" 2>"$work/err"
status=$?
journal=$(sed -n 's/^Record: //p' "$work/out")
ok it_goes_on_by_itself_to_the_end recorded 0 'session hold cue cue cue cue end '
ok the_new_journal_names_the_old_one \
    grep -q "\"continues\":\"$(basename "$old")\",\"done\":2," "$journal"
"$holdfast" play --resume </dev/null >"$work/out" 2>"$work/err"
ok and_then_there_is_nothing_left_to_go_on_with test $? -eq 64
rig_end
