#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# ear, heard: a player answers by number; the levels move as told, nothing is named too early, and
# the replay is what was heard, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

said() { grep -qF -- "$1" "$work/screen"; }
unsaid() { ! grep -qF -- "$1" "$work/screen"; }

# The answers of the first round, by the seed: the ids in their order, and the kinds that they are
# of (published: kind 1 of C E G# is 127, 39T, 56E, which are ids 1, 4 and 5).
session=(ear --held 'C E G#' --every 2s --lead-in 1s --rounds 3 --seed 7)
"$holdfast" play "${session[@]}" --dry-run --journal "$work/plan.jsonl" >/dev/null
ids=$(sed -n 's/.*"t":"cue".*"id":\([0-9]*\).*/\1/p' "$work/plan.jsonl" | head -n 12)
steps=()
for id in $ids; do
    case $id in
    1 | 4 | 5) answer=1 ;;
    *) answer=2 ;;
    esac
    steps+=("until=of 18  listen" wait=300 "press=$answer" "until=right")
done

# Two rounds are known, so the third is of the second level; one answer there, then leave.
rig_start
rig_record "$work/cap.wav" 40
ok a_player_answers_two_rounds "$helpers/hands" "$work/screen" \
    'until=? keys' 'press=1' 'until=nothing has sounded yet' "${steps[@]}" \
    'until=Level 2' 'until=one of:' wait=300 'press=1' 'until=you said: 1' 'press=2' \
    'until=it is answered already' 'press=q' -- \
    "$holdfast" play --plain "${session[@]}" --journal "$work/live.jsonl"
rig_recorded
ok the_level_went_up grep -q '"t":"level","at":[0-9]*,"level":2,"why":"up"' "$work/live.jsonl"
ok each_answer_marked_itself test \
    "$(grep -c '"t":"answer"' "$work/live.jsonl")" -eq "$(grep -c '"t":"mark"' "$work/live.jsonl")"
ok the_level_is_told_for_the_next_time said '--level 2+ begins there next time'
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok the_replay_is_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"

# ---- the held notes fall silent ----

rm "$work/cap.wav" "$work/live.jsonl"
rig_record "$work/cap.wav" 20
ok a_player_hears_it_again_and_leaves "$helpers/hands" "$work/screen" \
    'until=Level 6' "until=of 24  listen" wait=2000 'press=\e[D' until=again wait=500 press=r 'until=it is' \
    press=m until=missed wait=1500 press=q -- \
    "$holdfast" play ear --plain --held 'C E G#' --every wait --lead-in 1s --level 6 --seed 3 \
    --near-miss --journal "$work/live.jsonl"
rig_recorded
ok the_cue_says_so grep -q '"stagger":0,"rests":true' "$work/live.jsonl"
ok a_fixed_level_is_not_told unsaid 'next time'
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok its_replay_is_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"

# ---- to a file ----

"$holdfast" render "${session[@]}" --rounds 1 --bits float -o "$work/a.wav" \
    --journal "$work/r.jsonl" >/dev/null
"$holdfast" replay "$work/r.jsonl" -o "$work/b.wav" >/dev/null
ok a_rendering_replays_exactly cmp "$work/a.wav" "$work/b.wav"
rig_end
