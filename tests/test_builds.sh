#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# How it can be built: in another place it is the same program, to the byte (derived: nothing in it
# may depend on where); without the libraries that it can do without it says what is missing where
# that is asked for, and does the rest.
set -u
case ${BUILD:-build} in */asan*) echo "1..0 # SKIP the plain build's test does"; exit 0 ;; esac
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
number=0
ok() { # description, command...
    number=$((number + 1))
    local what=$1
    shift
    if "$@" >"$work/said" 2>&1; then echo "ok $number - $what"; else
        echo "not ok $number - $what"
        tail -n 20 "$work/said" | sed 's/^/# /'
    fi
}
make_in() { # directory, words: with the settings of the make that runs this, if one does
    local where=$1
    shift
    make -C "$where" --no-print-directory -j"$(nproc)" all "$@" 2>&1
}

# ---- two places ----

one=$work/one two=$work/two/deeper/place
for place in "$one" "$two"; do
    mkdir -p "$place"
    cp -R Makefile src include patches .ci "$place"
    ok 'it builds in a place of its own' make_in "$place" BUILD=build
done
build=$one/build
ok 'and is the same program in both' cmp "$build/holdfast" "$two/build/holdfast"
ok 'which names no place of the machine that built it' \
    sh -c "! strings '$build/holdfast' | grep -F -e '$PWD/' -e '$work'"

# ---- without the libraries that may be missing ----

less=$two/build
# What these settings reach, by the names in the Makefile.
(cd "$less" && rm -f libholdfast.a holdfast outlet/review_draw.o outlet/review_plot.o outlet/canvas.o \
    outlet/still.o cli/screen.o outlet/speech_voice.o outlet/midi_portmidi.o)
ok 'it builds without cairo, ncursesw, flite and PortMidi' make_in "$two" BUILD=build CAIRO= SCREEN= FLITE= PORTMIDI=
ok 'and is not linked with them' sh -c "! ldd '$less/holdfast' | grep -E 'cairo|ncurses|flite|portmidi'"
export HOME=$work XDG_STATE_HOME=$work/state
session=(--held 'C E G#' --every 4s --lead-in 1s --rounds 1 --seed 1 --rate 8000)
says() { # status, word, command...: one sentence that has the word, and that status
    local status=$1 word=$2
    shift 2
    "$@" </dev/null >"$work/out" 2>"$work/err"
    local got=$?
    echo "status $got"
    cat "$work/err"
    [ "$got" -eq "$status" ] && grep -qi "^holdfast: .*$word" "$work/err"
}
ok 'speech that is asked for is missed in a word' says 64 speech "$less/holdfast" render "${session[@]}" --speak -o "$work/a.wav"
ok 'a drawn page too' says 64 cairo "$less/holdfast" review "$work/none.jsonl" -o "$work/a.pdf"
ok 'pictures too' says 64 cairo "$less/holdfast" render "${session[@]}" --stills "$work/stills"
ok 'a MIDI pedal too' says 64 MIDI "$less/holdfast" play "${session[@]}" --midi-in any
"$build/holdfast" render "${session[@]}" -o "$work/more.wav" >/dev/null 2>&1
"$less/holdfast" render "${session[@]}" -o "$work/less.wav" >/dev/null 2>&1
ok 'the sound is the same' sh -c "tail -c 100000 '$work/less.wav' >'$work/x' && tail -c 100000 '$work/more.wav' | cmp - '$work/x'"
echo "1..$number"
