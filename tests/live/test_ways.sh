#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Every way to cue, live: what was heard is the replay and, where the player presses nothing, the
# rendering, sample for sample; before its time no way prints what it keeps back.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

# told WORD - the notes of the first cue are printed when they are named, and no sooner
told() {
    sed -n 's/.*1 of 2  //p' "$work/screen" >"$work/first"
    grep -n "$1" "$work/first"
    sed -n 1p "$work/first" | grep -q "$1"
}

rig_start
for way in lead confirm silent ear gap reverse; do
    session=(--cue "$way" --every 1s --lead-in 0.5s --for 2.6s --seed 5)
    [ "$way" = reverse ] || session+=(--held 'C E G#')
    rm -f "$work/cap.wav" "$work/live.jsonl"
    rig_record "$work/cap.wav" 12
    ok "${way}_plays" "$holdfast" play "${session[@]}" --plain --journal "$work/live.jsonl" </dev/null
    rig_recorded
    cp "$work/said" "$work/screen"
    "$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
    ok "the_replay_of_${way}_is_what_was_heard" "$helpers/same" "$work/cap.wav" "$work/replay.wav"
    "$holdfast" render "${session[@]}" --bits float -o "$work/render.wav" >/dev/null
    ok "so_is_its_rendering_${way}" "$helpers/same" "$work/cap.wav" "$work/render.wav"
    case $way in
    lead) ok lead_names_at_once told 'play   [A-G]' ;;
    confirm) ok confirm_names_at_once told 'find   [A-G]' ;;
    silent) ok silent_names_at_once told 'play   [A-G]' ;;
    ear) ok ear_keeps_the_names told 'listen *$' ;;
    gap) ok gap_names_two told 'find   the third note:  [A-G][#b]* [A-G][#b]* + ?$' ;;
    reverse) ok reverse_keeps_the_triad told 'now hold' ;;
    esac
done
rig_end
