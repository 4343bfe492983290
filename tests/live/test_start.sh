#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What comes before a session at a terminal: the held notes, to set the level and tune by. It is quiet,
# it fades, it is in no journal, and the session that follows is heard as it replays.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl
session=(--held 'C E G#' --seed 7 --every 1s --lead-in 0.5s --rounds 1 --journal "$journal")

told() {
    cat "$work/told" "$work/err"
    [ "$(head -n 1 "$work/told")" = "$1" ]
}

rig_start
rig_record "$work/cap.wav" 20
"$helpers/hands" "$work/screen" until='Set your level now' wait=800 'press=\e[B\e[B' \
    until='volume -2 dB' press=t until=E2 press=t until=A2 wait=1000 'press=x' until=' 1 of 6 ' \
    until='the sound fades' -- "$holdfast" play --start check "${session[@]}" \
    >"$work/told" 2>"$work/err"
ok the_level_is_set_and_any_key_begins told 'status 0'
rig_recorded
"$holdfast" replay "$journal" --bits float -o "$work/replay.wav" >/dev/null
ok the_session_after_it_is_heard_as_it_replays "$helpers/same" --last "$work/cap.wav" "$work/replay.wav"
ok the_volume_that_was_set_is_the_sessions grep -q '"volume":"-2"' "$journal"
ok nothing_else_of_it_is_in_the_journal test "$(grep -c '"t":"volume"' "$journal")" -eq 0

rm "$journal"
"$helpers/hands" "$work/screen" until='Set your level now' wait=500 press=q -- "$holdfast" play \
    --start check "${session[@]}" >"$work/told" 2>"$work/err"
ok leaving_it_is_no_session told 'status 0'
ok and_leaves_no_journal test ! -e "$journal"
"$helpers/hands" "$work/screen" until='Set your level now' wait=300 signal=15 -- "$holdfast" play \
    --start check "${session[@]}" >"$work/told" 2>"$work/err"
ok a_signal_ends_it told 'signal 15'
"$helpers/hands" "$work/screen" until='Set your level now' wait=300 press=q -- "$holdfast" play \
    --start check --plain "${session[@]}" >"$work/told" 2>"$work/err"
ok it_may_be_asked_for_in_plain_lines told 'status 0'
"$holdfast" play "${session[@]}" </dev/null >"$work/out" 2>"$work/err"
ok a_pipe_begins_at_once test "$(grep -c 'Set your level' "$work/out")" -eq 0
rig_end
