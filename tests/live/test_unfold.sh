#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A chord unfolds, and the drone lets go, heard: with keys, what reached the sound server is what the
# replay makes; unattended, what render makes.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

rig_start
rig_record "$work/cap.wav" 28
"$helpers/hands" "$work/screen" until='1/2  find' until='1/2  hear' wait=400 'press=\e[D' until='again' \
    wait=400 'press=\r' until='2/2  find' wait=300 press=r until='2/2  hear' wait=300 press=' ' wait=600 \
    press=' ' wait=300 'press=\r' until='2 of 6  find' wait=500 press=q \
    -- "$holdfast" play --plain --held 'C E G#' --every 2s --step 6s --lead-in 1s --rounds 1 --seed 7 \
    --unfold 3-5,3-11 --journal "$work/live.jsonl" >"$work/end" 2>"$work/err"
ok the_session_ends_well grep -q 'status 0' "$work/end"
rig_recorded
ok the_class_is_named_without_its_notes grep -q '1 of 6, 1/2  find   016 (3-5)' "$work/screen"
ok the_place_is_told grep -q '016, place [1-5] of 5' "$work/screen"
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >"$work/said"
ok the_replay_equals_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"
rm "$work/cap.wav"

fading=(improvise --held 'C E G#' --every 2s --lead-in 1s --rounds 1 --seed 7 --support fading)
rig_record "$work/cap.wav" 24
sleep 1
"$holdfast" play "${fading[@]}" --journal "$work/fading.jsonl" </dev/null >"$work/out" 2>"$work/err"
rig_recorded
"$holdfast" render "${fading[@]}" --rate 48000 --bits float -o "$work/render.wav" >"$work/said"
ok the_drone_lets_go_as_in_the_rendering "$helpers/same" "$work/cap.wav" "$work/render.wav"
ok it_is_told grep -q 'no drone from here on' "$work/out"
rig_end
