#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# play killed with -9 at twelve random instants: whatever reached the sound server is in the journal,
# which replays. SEED=N repeats a run's instants.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

SEED=${SEED:-$$}
RANDOM=$SEED
echo "# SEED=$SEED"

heard=0
for round in $(seq 12); do
    rig_start -t 500
    rig_record "$work/cap.wav" 4
    "$holdfast" play --held 'C E G#' --every 0.3s --lead-in 0.2s --cue lead --rounds 3 --seed "$round" \
        --journal "$work/live.jsonl" </dev/null >"$work/out" 2>&1 &
    player=$!
    for _ in $(seq 100); do # the journal is there before any sound
        [ -s "$work/live.jsonl" ] && break
        sleep 0.02
    done
    instant=$((RANDOM % 2000))
    sleep "$((instant / 1000)).$(printf %03d $((instant % 1000)))"
    kill -KILL "$player"
    wait "$player" 2>/dev/null
    rig_recorded
    ok "killed_after_${instant}_ms_the_journal_replays" \
        "$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav"
    ok "killed_after_${instant}_ms_all_that_was_heard_is_in_the_replay" \
        "$helpers/same" --killed 1024 "$work/cap.wav" "$work/replay.wav"
    if grep '^[0-9]* periods equal' "$work/said" | sed 's/^/# /' | grep .; then
        heard=$((heard + 1))
    fi
    rm -f "$work/live.jsonl" "$work/replay.wav" "$work/cap.wav"
    rig_stop
done 2>/dev/null
ok most_kills_came_while_something_was_heard test "$heard" -ge 7
rig_end
