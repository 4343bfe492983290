#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# sight, seen and heard: a player tells the chords by their numbers; nothing is told too early; the
# replay is what was heard, sample for sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

said() { grep -qF -- "$1" "$work/screen"; }

# keys_of HOLD CUE - where the cue's notes lie among all six, from low to high
keys_of() {
    local note place=0
    for note in $(tr ',' '\n' <<<"$1,$2" | sort -n); do
        place=$((place + 1))
        case ",$2," in
        *",$note,"*) printf %d "$place" ;;
        esac
    done
}

session=(sight --every 8s --lead-in 1s --rounds 1 --seed 2)
"$holdfast" play "${session[@]}" --dry-run --journal "$work/plan.jsonl" >/dev/null
steps=()
while read -r type id notes; do
    if [ "$type" = hold ]; then
        held=$notes
    else
        answer=n
        [ "$id" = 0 ] || answer=$(keys_of "$held" "$notes")
        steps+=('until=of 6  look' wait=400 "press=$answer" 'until=right' wait=300 'press=\r')
    fi
done < <(sed -n -e 's/.*"t":"\(hold\)".*"notes":\[\([0-9,]*\)\].*/\1 - \2/p' \
    -e 's/.*"t":"\(cue\)".*"id":\([0-9]*\),.*"notes":\[\([0-9,]*\)\].*/\1 \2 \3/p' "$work/plan.jsonl")

rig_start
rig_record "$work/cap.wav" 24
ok a_player_knows_six_chords "$helpers/hands" "$work/screen" 'until=? keys' 'press=1' \
    'until=no chord is in view yet' "${steps[@]}" 'until=fades' -- \
    "$holdfast" play --plain "${session[@]}" --journal "$work/live.jsonl"
rig_recorded
ok each_answer_was_right test "$(grep -c '"right":true' "$work/live.jsonl")" -eq 6
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok the_replay_is_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"

# ---- one chord to its end: its halves apart; own chords; frames ----

rm "$work/cap.wav" "$work/live.jsonl"
printf '; mine\nC3 E3 G#3 C#4 D4 G4\n' >"$work/mine.txt"
rig_record "$work/cap.wav" 18
ok a_chord_of_mine_sounds "$helpers/hands" "$work/screen" 'until=of 2  look' wait=300 press=y \
    'until=which three' press=1 press=2 press=2 press=4 press=5 'until=missed' wait=7000 press=q -- \
    "$holdfast" play sight --plain --chords "$work/mine.txt" --every 20s --lead-in 1s --seed 1 \
    --journal "$work/live.jsonl"
rig_recorded
ok it_told_the_halves said '6-Z17: C E G# + C# D G   you said: C C# D, missed'
"$holdfast" replay "$work/live.jsonl" --bits float -o "$work/replay.wav" >/dev/null
ok its_replay_is_what_was_heard "$helpers/same" "$work/cap.wav" "$work/replay.wav"

"$holdfast" render sight --view frame --rounds 1 --seed 4 --bits float -o "$work/a.wav" \
    --journal "$work/r.jsonl" >/dev/null
"$holdfast" replay "$work/r.jsonl" -o "$work/b.wav" >/dev/null
ok frames_replay_exactly cmp "$work/a.wav" "$work/b.wav"
rig_end
