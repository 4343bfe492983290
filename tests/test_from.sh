#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Ten chords of our own from the page into practice: six whose split lies in different voicings and
# notations, two with none, one of eight notes with two splits, one for another pairing. Each that
# has a split is rendered and replayed, and the two files are the same. Expected halves are derived by
# hand: the augmented triad is the three notes four semitones apart, the 016 is the rest.
. "$(dirname "$0")/tap.sh"
# what, held pitches, own notes ascending as MIDI, options...
chord() {
    local what=$1 held=$2 own=$3
    shift 3
    "$holdfast" render --from "$@" --seed 5 --rate 8000 --every 1s --lead-in 500ms --rounds 1 \
        -o "$work/a.wav" --journal "$work/a.jsonl" >"$work/out" 2>"$work/err"
    check "$what: is rendered" test $? -eq 0
    check "$what: $held is held" grep -q "^Held:  $held (" "$work/out"
    check "$what: its own half is first, in its own voicing" \
        sh -c "grep '\"t\":\"cue\"' '$work/a.jsonl' | head -n 1 | grep -qF '\"notes\":[$own]'"
    "$holdfast" replay "$work/a.jsonl" -o "$work/b.wav" >/dev/null 2>&1
    check "$what: replays the same" cmp -s "$work/a.wav" "$work/b.wav"
}
refused() { # what, word on stderr, options...
    local what=$1 word=$2
    shift 2
    "$holdfast" render --from "$@" -o "$work/c.wav" >"$work/out" 2>"$work/err"
    check "$what: is refused with 64" test $? -eq 64
    check "$what: says why" grep -q "$word" "$work/err"
    check "$what: leaves no file" test ! -e "$work/c.wav"
}

echo '1..42'
chord 'triad on top, pitches' 'C4 E4 G#4' '50,55,73' 'D3 G3 C4 E4 G#4 C#5'
chord 'the same as frets' 'C4 E4 G#4' '50,55,73' 10-10-10-9-9-9
chord 'triad below, close' 'C3 E3 G#3' '61,66,67' 'C3 E3 G#3 C#4 F#4 G4'
chord 'triad through, wide' 'F2 C#3 A3' '46,52,59' 'F2 Bb2 C#3 E3 A3 B3'
chord 'numbers, upward from C3' 'C3 E3 G#3' '61,62,67' '0 4 8 1 2 7'
chord 'guitar notation' 'C3 E3 G#3' '61,66,67' 'C4 E4 G#4 C#5 F#5 G5' --as-written
refused 'four notes' 'does not split' 'C3 E3 G3 Bb3'
refused 'a near miss' 'does not split' 'C3 E3 G#3 C#4 D4 F#4'
refused 'eight notes, two splits' 'splits in 2 ways' 'C3 E3 G#3 C#4 D4 G4 A4 F4'
chord 'eight notes, the second split' 'C#4 F4 A4' '56,62,67' 'C3 E3 G#3 C#4 D4 G4 A4 F4' --split 2
chord 'another pairing: two notes added to four' 'G#3 C#4 D4 G4' '48,52' \
    'C3 E3 G#3 C#4 D4 G4' --added 2-4
check 'the nearest chord that splits is named' sh -c \
    "'$holdfast' render --dry-run --from 'C3 E3 G#3 C#4 D4 F#4' 2>/dev/null | grep 'F#4 up 1 to G4' >/dev/null"
