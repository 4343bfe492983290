#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A break: the sound fades by itself, any key goes on, keys meant for what went before do nothing.
# What reached the sound server is what the replay makes, the silence of the break included.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

rig_start
rig_record "$work/cap.wav" 22
"$helpers/hands" "$work/screen" until='break after 0:02' press='\r' wait=2500 press=x \
    until='resumed after a break of 0:0' wait=600 press='\r' until='2 of 6' until='break after' wait=1500 \
    press='\e[6~' until=resumed wait=400 press=q \
    -- "$holdfast" play --plain --held 'C E G#' --every 8s --lead-in 1s --rounds 1 --seed 7 \
    --break-every 2s --journal "$work/live.jsonl" >"$work/end" 2>"$work/err"
ok the_session_ends_well grep -q 'status 0' "$work/end"
rig_recorded
records() { grep -c "\"t\":\"$1\"" "$work/live.jsonl"; }
ok there_were_two_breaks test "$(records break)" -eq 2
ok each_was_a_pause_and_a_resume test "$(records pause) $(records resume)" = "2 2"
# the key that was pressed as the break began, and the one that ended it, did nothing else
ok keys_in_a_break_do_nothing_else test "$(records next)" -eq 1
ok the_breaks_are_counted grep -q 'Breaks: 2, 0:0' "$work/screen"
ok the_day_is_told grep -q 'Today:  0:[01][0-9] of sound in 1 session;' "$work/screen"
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >"$work/said"
ok the_replay_equals_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"

# On the virtual clock: a key that ends a break is no mark, nor anything else that it would be.
printf '20 g\n50 m\n80 \\e[D\n90 q\n' >"$work/keys"
HASTY_KEYS=$work/keys "$helpers/hasty" play --plain --held 'C E G#' --every 3s --seed 3 --rate 8000 \
    --break-every 20s --journal "$work/hasty.jsonl" >"$work/screen"
ok each_break_lasts_until_a_key grep -q 'Breaks: 2, 0:39 in all' "$work/screen"
ok one_was_marked test "$(grep -c '"t":"mark"' "$work/hasty.jsonl")" -eq 1
ok one_mark_is_told test "$(grep -c 'of 12  \(got\|missed\)' "$work/screen")" -eq 1
ok nothing_is_told_to_sound_again test "$(grep -c 'of 12  again ' "$work/screen")" -eq 0
rig_end
