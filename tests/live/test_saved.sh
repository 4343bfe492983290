#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Two sessions kept by name, played in turn: each has a journal of its own, the day is added up, and
# who leaves one leaves both.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

rig_start
for name in one two; do
    "$holdfast" play --held 'C E G#' --every 0.5s --lead-in 0.3s --for 0.9s --cue lead --label "$name" \
        --save "$name" >"$work/said"
done
"$holdfast" play one two </dev/null >"$work/out" 2>"$work/err"
ok both_end_well test "$?" -eq 0
ok nothing_is_on_stderr test ! -s "$work/err"
journals=("$XDG_STATE_HOME"/holdfast/*.jsonl)
ok each_has_its_journal test "${#journals[@]}" -eq 2
ok in_their_order grep -q '"label":"one"' "${journals[0]}"
ok the_other_second grep -q '"label":"two"' "${journals[1]}"
ok both_are_whole test "$(grep -l '"why":"finished"' "${journals[@]}" | wc -l)" -eq 2
# derived: each 0.8 s and a fade of 5 s
ok the_day_has_both grep -q 'Today:  0:11 of sound in 2 sessions' "$work/out"
"$helpers/hands" "$work/screen" until='Session 1 of 2' until='1 of 1' press=q \
    -- "$holdfast" play one two --every 20s --for 30s >"$work/end" 2>&1
ok leaving_ends_well grep -q 'status 0' "$work/end"
ok the_second_is_not_played bash -c "! grep -q 'Session 2' '$work/screen'"
rig_end
