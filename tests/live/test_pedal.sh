#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Keys of the player's own, one pedal and the volume, at a terminal: what was done is in the journal,
# and what was heard is what it replays, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl
session=(--held 'C E G#' --seed 7 --lead-in 1s --rounds 1)

# types - the types of the journal's records in order, and what was marked
types() {
    sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p; ' "$journal" | tr '\n' ' '
}

# played OPTION... -- STEP... - plays with these steps at a terminal, and records it
played() {
    local options=()
    while [ "$1" != -- ]; do
        options+=("$1")
        shift
    done
    shift
    rm -f "$journal" "$work/cap.wav" "$work/replay.wav"
    rig_record "$work/cap.wav" 12
    "$helpers/hands" "$work/screen" "$@" -- "$holdfast" play --plain "${session[@]}" "${options[@]}" \
        --journal "$journal" >"$work/told" 2>&1
    rig_recorded
    "$holdfast" replay "$journal" --bits float -o "$work/replay.wav" >/dev/null
}

# recorded TYPES - the journal's types match this pattern
recorded() {
    cat "$work/told"
    types
    case "$(types)" in $1) true ;; *) false ;; esac
}

rig_start

played --cue lead --every 1.5s -- until=' 1 of 6 ' 'press=\e[B\e[B\e[B' wait=400 'press=\e[A' wait=300 \
    'hold=12,33,\e[B' wait=400 press=q
ok up_and_down_turn_the_volume recorded 'session hold cue cue volume volume volume volume volume *end '
ok the_volume_is_told grep -q 'volume -2 dB' "$work/screen"
ok what_was_heard_while_it_turned_replays_to_the_sample "$helpers/same" "$work/cap.wav" "$work/replay.wav"

printf 'next = b\nquit = F5\nlouder = none\n' >"$work/my.keys"
played --keys "$work/my.keys" --every 2s -- until='F5 leave' until=' 1 of 6 ' 'press=\r\e[Aq' wait=300 \
    press=b until=' 2 of 6 ' 'press=\e[15~'
ok a_key_file_gives_keys_and_takes_them recorded 'session hold cue cue next cue end '

# Cues of 2.4 s, all said at once: a press counts when it is sure, 0.7 s later.
played --one-pedal --cue lead --every 2.4s -- until=' 1 of 6 ' press=b 'press=\e[6~' until=' got' \
    until=' 2 of 6 ' 'press=\e[6~' wait=200 'press=\e[6~' until=again until=' 3 of 6 ' \
    'hold=1,500, ' 'hold=30,33, ' until=stay wait=300 'hold=1,500, ' 'hold=20,33, ' until='go on' \
    press=q
ok one_pedal_does_everything recorded 'session hold cue cue mark next cue again *cue mark stay go end '
ok one_pedal_marks_what_was_pressed_and_what_was_not \
    test "$(sed -n 's/.*"t":"mark".*"as":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' ')" = 'got missed '
rig_end
