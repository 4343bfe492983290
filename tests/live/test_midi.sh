#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A session by a MIDI pedal, which is a pipe here: pressed, pressed twice, held; notes and programs
# with a key file; unplugged in the middle.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl
export HOLDFAST_TEST_MIDI=$work/midi
mkfifo "$HOLDFAST_TEST_MIDI"

# begin OPTION... - starts a session without a terminal, with the pedal at descriptor 3
begin() {
    rm -f "$journal"
    "$helpers/pedaled" play --held 'C E G#' --seed 7 --lead-in 0.5s --rounds 1 --journal "$journal" \
        --midi-in pedal "$@" </dev/null >"$work/out" 2>"$work/err" &
    player=$!
    exec 3>"$HOLDFAST_TEST_MIDI"
}

ended() {
    exec 3>&-
    status=0
    wait "$player" || status=$?
}

wait_for() {
    for _ in $(seq 400); do
        grep -q "$1" "$work/out" 2>/dev/null && return
        sleep 0.05
    done
}

send() { # BYTES - in hexadecimal, as in b0407f
    printf '%b' "$(printf '%s' "$1" | sed 's/../\\x&/g')" >&3
}

pedal() { # SECONDS - holds it down for so long
    send b0407f
    sleep "$1"
    send b04000
}

recorded() { # STATUS TYPES
    local types
    types=$(sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' ')
    cat "$work/out" "$work/err"
    echo "$types"
    # shellcheck disable=SC2254 # a pattern
    [ "$status" -eq "$1" ] && case "$types" in $2) true ;; *) false ;; esac
}

rig_start

begin --one-pedal --cue lead --every 3s
wait_for ' 1 of 6 '
pedal 0.1 # got, and on
wait_for ' 2 of 6 '
pedal 0.05
sleep 0.1
pedal 0.05 # again
wait_for again
pedal 1 # stay
wait_for 'stay:'
pedal 1 # go on
wait_for 'go on'
kill -TERM "$player"
ended
ok one_midi_pedal_does_everything recorded 143 'session hold cue cue mark next cue again stay go end '
ok the_input_is_told grep -q 'MIDI:  Foot pedal' "$work/out"

printf 'next = Note-60\nreveal = Program-3\nlouder = none\nsofter = Control-80\n' >"$work/my.keys"
begin --keys "$work/my.keys" --every 5s
wait_for ' 1 of 6 '
send c00200 # program 3
wait_for ' hear '
send 903c40 # middle C
wait_for ' 2 of 6 '
send b05040
wait_for 'volume -1'
send b0407f # the pedal has nothing to do now
sleep 0.2
kill -TERM "$player"
ended
ok notes_programs_and_controllers_are_keys recorded 143 \
    'session hold cue cue reveal next cue volume end '

begin --cue lead --every 1s
wait_for ' 2 of 6 '
ended
ok an_unplugged_pedal_ends_nothing recorded 0 'session hold cue cue cue cue cue cue end '
ok and_that_is_told grep -q 'the MIDI input went away' "$work/out"

begin --every wait
wait_for ' 1 of 6 '
pedal 0.1 # it sounds
wait_for ' hear '
ended
ok where_only_the_pedal_could_go_on_the_session_ends_when_it_is_gone \
    recorded 0 'session hold cue cue reveal end '
rig_end
