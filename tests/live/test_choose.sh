#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# roam and hunt, ten minutes of any keys on a virtual clock, then a short while on the sound server:
# roam never advances by itself, hunt never tells what is not found, and both replay to the sample.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

# script SEED KEYS... - ten minutes of presses of these keys, at random times, each pause for a second;
# then Enter, which gives what was typed, and q
script() {
    local seed=$1
    shift
    awk -v seed="$seed" 'BEGIN {
        srand(seed)
        for (t = 1; t < 600; t += rand() < 0.3 ? rand() / 10 : 6 * rand()) {
            key = ARGV[1 + int(rand() * (ARGC - 1))]
            printf "%.2f %s\n", t, key
            if (key == "p") printf "%.2f p\n", t += 1
        }
        print "600.5 \\r\n601 q"
    }' "$@"
}

# hasty NAME OPTION... - plays with the keys of $work/NAME.keys; all that was printed goes to NAME.out
hasty() {
    local name=$1
    shift
    HASTY_SOUND=$work/sound HASTY_KEYS=$work/$name.keys "$helpers/hasty" play "$@" --rate 8000 --plain \
        --journal "$work/$name.jsonl" >"$work/$name.out" 2>&1
}

# every_next_was_asked_for NAME - each next of the journal comes within 0.1 s of a press that chooses
every_next_was_asked_for() {
    awk -v keys="$work/$1.keys" '
        BEGIN {
            while ((getline line < keys) > 0) {
                split(line, part, " ")
                if (part[2] ~ /^([1-6]|\\r|\\e\[6~)$/) asked[++count] = part[1]
            }
        }
        match($0, /"after":[0-9]+/) { silence += substr($0, RSTART + 8, RLENGTH - 8) / 8000 }
        /"t":"next"/ {
            match($0, /"at":[0-9]+/)
            at = substr($0, RSTART + 5, RLENGTH - 5) / 8000 + silence
            near = 0
            for (i = 1; i <= count; i++) near += asked[i] - 0.1 < at && at < asked[i] + 0.1
            if (!near) { print "a next at " at " that nobody asked for"; bad = 1 }
            nexts++
        }
        END { print nexts " of " count; exit bad || nexts < 40 }' "$work/$1.jsonl"
}

# nothing_leaks TRIAD - no line printed has the names of a completion in it that was not found
# by then, in any order, but for the last hint
nothing_leaks() {
    local completions
    completions=$("$holdfast" complete "$1" --json |
        grep -o '"id":[0-9]*,"pcs":\[[0-9,]*\]' | sed 's/.*\[//; s/\]//' | tr '\n' ' ')
    awk -v completions="$completions" '
        BEGIN {
            split("C:0 C#:1 Db:1 D:2 D#:3 Eb:3 E:4 F:5 F#:6 Gb:6 G:7 G#:8 Ab:8 A:9 A#:10 Bb:10 B:11", n, " ")
            for (i in n) { split(n[i], part, ":"); pc[part[1]] = part[2] }
            count = split(completions, sets, " ")
        }
        function holds(set, size, i, m) {
            size = split(set, m, ",")
            for (i = 1; i <= size; i++) if (!(m[i] in named)) return 0
            return 1
        }
        /^Found:/ { over = 1 }
        {
            gsub(/[^A-Za-z0-9#]+/, " ")
            size = split($0, word, " ")
            delete named
            for (i = 1; i <= size; i++) if (word[i] in pc) named[pc[word[i]]] = 1
            if (/: yes/ || / yes [0-9]/)
                for (i = 1; i <= count; i++) if (holds(sets[i])) { found[i] = 1; finds++ }
            if (/hint it is/) next
            for (i = 1; i <= count; i++)
                if (!found[i] && holds(sets[i])) { print "leak: " $0; bad = 1 }
        }
        END { print finds " found"; exit bad || !over || count != 6 || finds < 1 }' "$work/$1.out"
}

# replays NAME - the journal gives the samples that were played last, to the bit
replays() {
    "$holdfast" replay "$work/$1.jsonl" --bits float -o "$work/replay.wav" || return
    local at size
    for at in $(grep -abo data "$work/replay.wav" | cut -d: -f1); do # the chunk, not what points to it
        size=$(od -An -tu4 -j $((at + 4)) -N 4 "$work/replay.wav")
        [ "$size" -gt 30000000 ] && break
    done
    echo "$size bytes of sound at $at"
    [ "$size" -gt 30000000 ] && cmp -n "$size" -i $((at + 8)):0 "$work/replay.wav" "$work/sound"
}

# ---- ten minutes each ----

for seed in 1 2 3; do
    script "$seed" 1 2 3 4 5 6 7 9 '\r' '\e[6~' '\e[D' '\e[5~' r s g m '\s' p '?' x '+' '-' \
        >"$work/roam$seed.keys"
    ok "ten_minutes_of_roam_end_well_$seed" \
        hasty "roam$seed" roam --held 'C E G#' --cue lead --seed "$seed"
    ok "roam_never_advances_by_itself_$seed" every_next_was_asked_for "roam$seed"
    ok "roam_replays_$seed" replays "roam$seed"
done
for triad in 'C E G#' 'Db F A' 'D F# A#' 'Eb G B'; do
    script 5 a b c d e f g C D E F G '#' 'b' '\s' 0 1 2 3 4 5 6 7 8 9 t e '\r' '\r' '\r' '\r' '\b' h '?' \
        x - '\r1 2 7\r' '2 5 9\r' '\rc# g f#\r' 'd# g# d\r' '\rd eb g#\r' '\re a eb\r' '\r4 5 t\r' \
        '\e[D' r p p '\e[6~' >"$work/$triad.keys"
    ok "ten_minutes_of_hunt_end_well_${triad// /_}" hasty "$triad" hunt --held "$triad" --tell --seed 4
    ok "hunt_never_tells_${triad// /_}" nothing_leaks "$triad"
    ok "hunt_replays_${triad// /_}" replays "$triad"
done
printf '1 1\n2 s\n3 \\r\n' >"$work/for.keys"
ok for_ends_roam hasty for roam --for 3m
ok for_ends_it_where_it_says grep -q '"t":"end","at":1440000,"why":"finished"' "$work/for.jsonl"

# ---- heard ----

rig_start
for practice in roam hunt; do
    rm -f "$work/cap.wav"
    rig_record "$work/cap.wav" 12
    if [ "$practice" = roam ]; then
        keys=(press=3 wait=700 press=s wait=300 'press=\e[6~' wait=600 press=p wait=700 press=p
            wait=700 press=1 wait=300 'press=\e[D' wait=400 press=q)
    else
        keys=('press=2 3 9\r' wait=700 press=h wait=300 'press=c d e\r' wait=300 'press=g c# d\r'
            wait=500 press=p wait=700 press=p wait=700 'press=239\r' wait=500 press=q)
    fi
    ok "$practice plays" "$helpers/hands" "$work/screen" 'until=? keys' wait=700 "${keys[@]}" -- \
        "$holdfast" play "$practice" --plain --held 'C E G#' --cue lead --journal "$work/$practice.jsonl"
    rig_recorded
    "$holdfast" replay "$work/$practice.jsonl" --bits float -o "$work/replay.wav" >/dev/null
    ok "the_replay_of_${practice}_equals_what_was_heard" \
        "$helpers/same" "$work/cap.wav" "$work/replay.wav"
done
rig_end
