#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The sound server goes away while something plays: killed, ended, stopped.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

now() {
    read -r up _ </proc/uptime
    echo "$up"
}

# wait_for FILE TEXT
wait_for() {
    for _ in $(seq 200); do
        grep -q "$2" "$1" 2>/dev/null && return
        sleep 0.05
    done
}

# lost WITHIN - the probe noticed in that time, left in 1.6 s, rendered nothing afterwards, and wrote
# nothing on stderr
lost() {
    cat "$work/out" "$work/err"
    awk -v at="$at" -v within="$1" '/^lost at/ {
        soon = $3 - at <= within; quick = $6 <= 1.6
    } END { exit !(soon && quick) }' "$work/out" && [ ! -s "$work/err" ] && [ "$status" -eq 0 ]
}

# left - play waited for 20 s, said so in one sentence, and how to replay; the journal is whole and replays
left() {
    cat "$work/out" "$work/err"
    [ "$status" -eq 75 ] && [ "$(cat "$work/err")" = "holdfast: the sound output went away" ] &&
        grep -q "holdfast replay $work/live.jsonl" "$work/out" &&
        tail -n 1 "$work/live.jsonl" | grep -q '"t":"end".*"why":"lost","fade":0' &&
        "$holdfast" replay "$work/live.jsonl" -o "$work/replay.wav"
}

for signal in KILL TERM STOP; do
    rig_start
    "$helpers/probe" lose >"$work/out" 2>"$work/err" &
    player=$!
    wait_for "$work/out" playing
    sleep 0.3
    at=$(now)
    kill -"$signal" "$server"
    status=0
    wait "$player" || status=$?
    ok "a_server_that_gets_SIG${signal}_is_noticed_and_left" lost 1.5
    rig_stop
    [ "$signal" = TERM ] && continue # play waits 20 s: two ways are enough

    rig_start
    "$holdfast" play --every 2s --lead-in 0s --rounds 1 --journal "$work/live.jsonl" \
        </dev/null >"$work/out" 2>"$work/err" &
    player=$!
    wait_for "$work/out" '1 of 6'
    kill -"$signal" "$server"
    status=0
    wait "$player" || status=$?
    ok "play_ends_with_75_and_a_whole_journal_after_SIG$signal" left
    rm -f "$work/live.jsonl" "$work/replay.wav"
    rig_stop
done 2>/dev/null # the shell's own word on a server that was killed
rig_end
