#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The sound output by itself (src/outlet/live.c): to the bit, and refused.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

says() { # FILE STATUS TEXT - the last run ended so, and stderr is these lines and no more
    [ "$status" -eq "$2" ] && [ "$(cat "$1")" = "$3" ] || { echo "status $status" && cat "$1" && false; }
}

# ---- no sound output at all: one clear sentence, and nothing of the backends' noise ----

status=0
"$holdfast" play --rounds 1 >"$work/out" 2>"$work/err" || status=$?
ok no_sound_output_is_said_in_one_sentence says "$work/err" 69 \
    "holdfast: no sound output was found
holdfast: holdfast render ... -o FILE.wav makes the same session as a sound file"
status=0
"$holdfast" outputs --json >"$work/out" 2>"$work/err" || status=$?
ok no_output_is_an_empty_list says "$work/out" 0 '{"holdfast":1,"outputs":[]}'
ok listing_makes_no_noise says "$work/err" 0 ''

# ---- a server: listed, opened at its rate only, captured to the bit ----

for period in 1024 192; do
    rig_start
    if [ "$period" = 1024 ]; then
        status=0
        "$holdfast" outputs --json >"$work/out" 2>"$work/err" || status=$?
        ok an_output_is_listed_with_its_rates grep -q \
            '"name":"system","host":"JACK Audio Connection Kit","default":true,"channels":2,"rate":48000,"rates":\[48000\]' \
            "$work/out"
        status=0
        "$holdfast" play --rounds 1 --rate 44100 >"$work/out" 2>"$work/err" || status=$?
        ok a_rate_that_cannot_be_is_refused_with_those_that_can says "$work/err" 69 \
            "holdfast: 'system' can't be opened at 44100 Hz; it can at 48000"
        status=0
        "$holdfast" play --rounds 1 --output nosuch >"$work/out" 2>"$work/err" || status=$?
        ok an_unknown_output_is_refused says "$work/err" 69 \
            "holdfast: no sound output is called 'nosuch'
holdfast: holdfast outputs lists them; HOST: NAME says which one"
    fi
    rig_record "$work/cap.wav" 5
    ok "a_known_sequence_plays_at_a_period_of_$period" "$helpers/probe" play 2 "$work/ref.wav"
    rig_recorded
    ok "what_is_rendered_is_heard_to_the_bit_at_a_period_of_$period" \
        "$helpers/same" "$work/cap.wav" "$work/ref.wav"
    rig_stop
done

period=1024 outputs=1
rig_start
rig_record "$work/cap.wav" 4
ok a_mono_output_plays "$helpers/probe" mono 1 "$work/ref.wav"
rig_recorded
ok a_mono_output_gets_half_the_sum_of_both_channels "$helpers/same" "$work/cap.wav" "$work/ref.wav"
rig_end
