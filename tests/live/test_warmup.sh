#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A warm-up, heard: skipped through to a rest, left in the cue after it. What reached the sound server
# is what the replay makes, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

rig_start
rig_record "$work/cap.wav" 22
skip=()
for _ in 1 2 3 4 5 6 7 8 9 10; do skip+=(wait=300 'press=\r'); done
"$helpers/hands" "$work/screen" until='1 of ' "${skip[@]}" until='rest: hands off' wait=1500 \
    'press=\r' until='11 of ' wait=1000 press=g wait=500 press=q \
    -- "$holdfast" play warmup --plain --held 'C E G#' --every 6s --lead-in 1s --rounds 1 --seed 7 \
    --journal "$work/live.jsonl" >"$work/end" 2>"$work/err"
ok the_warm_up_ends_well grep -q 'status 0' "$work/end"
rig_recorded
ok it_says_what_a_step_is grep -q 'find .*note' "$work/screen"
ok it_tells_strain_once test "$(grep -c 'Take it easy' "$work/screen")" -eq 1
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >"$work/said"
ok the_replay_equals_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"
# derived: the rest of 20 s belongs to the tenth cue's end, so the next in it leaps to the eleventh
ok the_next_in_the_rest_is_in_the_journal grep -q '"t":"next".*"shift":-' "$work/live.jsonl"
rig_end
