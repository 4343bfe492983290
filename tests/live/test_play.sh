#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# play, heard: what reached the sound server is what render and replay make, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

session=(improvise --held 'C E G#' --every 2s --lead-in 1s --rounds 1 --seed 7)

# records TYPE... - the journal has these types of records in this order, others between them
records() {
    local types
    types=$(sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p' "$work/live.jsonl" | tr '\n' ' ')
    echo "$types"
    case " $types" in
    $(printf '*%s ' "$@")) true ;;
    *) false ;;
    esac
}

# ---- unattended, to its end ----

rig_start
rig_record "$work/cap.wav" 21
"$holdfast" play "${session[@]}" --journal "$work/live.jsonl" \
    </dev/null >"$work/out" 2>"$work/err"
status=$?
rig_recorded
ok play_ends_well test "$status" -eq 0
ok play_writes_nothing_on_stderr test ! -s "$work/err"
"$holdfast" render "${session[@]}" --rate 48000 --bits float -o "$work/render.wav" >/dev/null
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok the_capture_equals_the_rendering "$helpers/same" "$work/cap.wav" "$work/render.wav"
# The samples at the end of both; when it was played stands before them in one only.
tail -c 6912000 "$work/render.wav" >"$work/render.raw"
tail -c 6912000 "$work/replay.wav" >"$work/replay.raw"
ok the_replay_equals_the_rendering cmp "$work/render.raw" "$work/replay.raw"
ok the_journal_has_the_session records session hold cue cue cue cue cue cue end

# ---- with keys, through a terminal ----

rm "$work/cap.wav" "$work/live.jsonl"
rig_record "$work/cap.wav" 20
mkfifo "$work/keys"
if script -qec true /dev/null >"$work/said" 2>&1; then
    script -qefc "'$holdfast' play --start now ${session[*]@Q} --journal '$work/live.jsonl'" /dev/null \
        <"$work/keys" >"$work/out" 2>&1 &
else
    echo "# no pseudo-terminal can be had here, so the keys come through a pipe"
    "$helpers/keyed" play --start now "${session[@]}" --journal "$work/live.jsonl" \
        <"$work/keys" >"$work/out" 2>&1 &
fi
player=$!
exec 3>"$work/keys"
press() { # SECONDS KEY - after that time
    sleep "$1"
    printf '%b' "$2" >&3
}
for _ in $(seq 100); do # the first cue's record is there before any sound
    [ -s "$work/live.jsonl" ] && break
    sleep 0.05
done
press 1.5 ' '        # stay, in the first cue
press 1.2 ' '        # go on
press 0.7 '\r'       # next
press 0.9 'p'        # pause
press 0.9 'p'        # resume
press 0.8 '\033[6~'  # next, by the page-down key of a pedal
press 0.5 'r'        # reveal
press 0.5 '\033[D'   # again
press 0.3 'g'        # got
press 0.8 ' '        # stay
press 0.5 '\r'       # next closes the stay
press 1.0 'q'        # quit
wait "$player"
status=$?
exec 3>&-
rig_recorded
ok play_with_keys_ends_well test "$status" -eq 0
ok every_key_is_in_the_journal records session stay go next pause resume next reveal again mark \
    stay go next end
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok the_replay_of_a_session_with_keys_equals_what_was_heard \
    "$helpers/same" "$work/cap.wav" "$work/replay.wav"
rig_end
