#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Eyes closed: a session that speaks, and one of ear training by speech and one pedal. What was said
# is in the journal, marks are right, and what was heard is what it replays, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

if ! "$holdfast" --version | grep -q '^speech: .*rms'; then
    echo 'ok 1 - speaks # SKIP speech is not in this build'
    echo '1..1'
    rm -rf "$work"
    exit 0
fi

journal=$work/live.jsonl

# played SECONDS OPTION... -- STEP... - plays with these steps at a terminal, and records it
played() {
    local seconds=$1 options=()
    shift
    while [ "$1" != -- ]; do
        options+=("$1")
        shift
    done
    shift
    rm -f "$journal" "$work/cap.wav" "$work/replay.wav"
    rig_record "$work/cap.wav" "$seconds"
    "$helpers/hands" "$work/screen" "$@" -- "$holdfast" play "${options[@]}" --held 'C E G#' \
        --seed 7 --speak-only --journal "$journal" >"$work/told" 2>&1
    rig_recorded
    "$holdfast" replay "$journal" --bits float -o "$work/replay.wav" >/dev/null
}

# said - what was said, in order
said() {
    sed -n 's/.*"t":"speech".*"text":"\([^"]*\)".*/\1/p' "$journal"
}

# says PATTERN - what was said matches, a sentence between bars
says() {
    local all
    all=$(said | tr '\n' '|')
    echo "$all"
    # shellcheck disable=SC2053 # a pattern
    [[ $all == $1 ]]
}

marks() {
    cat "$work/told"
    sed -n 's/.*"t":"mark".*"as":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' '
}

rig_start

played 26 --every 6s --lead-in 6s --for 12s -- until=' 1 of ' until='find ' wait=3500 'press=g' \
    until='hear ' wait=300 'press= ' wait=1500 'press= ' until='end'
ok a_whole_session_is_spoken says 'listen to C, E, G sharp. 1 cue|find *|got|staying|going on|the end, 1 got, 0 missed|'
ok what_was_heard_replays_to_the_sample "$helpers/same" "$work/cap.wav" "$work/replay.wav"

# Cues of 12 s, named after 8: pressed means right and on, not pressed means missed; twice quickly is
# again, and held is stay, or go on.
played 48 ear --level 3 --one-pedal --every 12s --lead-in 2s --for 38s -- until='1 of 3  it is' wait=200 \
    'press=\e[6~' until='2 of 3  listen' wait=1500 'press=\e[6~' wait=200 'press=\e[6~' until='again' \
    wait=300 'hold=1,500, ' 'hold=30,33, ' until=stay wait=300 'hold=1,500, ' 'hold=20,33, ' \
    until='go on' until='2 of 3  it is' until='3 of 3  it is' wait=200 'press=\e[6~' until='end'
ok ear_by_speech_and_one_pedal_marks_right test "$(marks | tail -n 1)" = 'got missed got '
ok one_pedal_asks_again_stays_and_goes_on \
    test "$(sed -n 's/.*"t":"\(again\|stay\|go\)".*/\1/p' "$journal" | tr '\n' ' ')" = 'again stay go '
ok every_answer_was_spoken \
    says 'listen to *|*it is *|staying|*going on|*it is *|*it is *|the end, 2 got, 1 missed|'
ok what_was_heard_of_it_replays_to_the_sample "$helpers/same" "$work/cap.wav" "$work/replay.wav"
rig_end
