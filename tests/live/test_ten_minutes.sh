#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Ten minutes of any keys in each practice that asks, in each of its ways, on a virtual clock: the
# session ends well, replays to the sample, and a player who knows (or never does) moves through
# ear's levels as its page says. roam and hunt have theirs in test_choose.sh.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

# script SEED SECONDS KEY... - presses of these keys at random times, pauses of a second; then q
script() {
    local seed=$1 seconds=$2
    shift 2
    awk -v seed="$seed" -v seconds="$seconds" 'BEGIN {
        srand(seed)
        for (t = 1; t < seconds; t += rand() < 0.3 ? rand() / 10 : 6 * rand()) {
            key = ARGV[1 + int(rand() * (ARGC - 1))]
            printf "%.2f %s\n", t, key
            if (key == "p" || key == "\\s") printf "%.2f %s\n", t += 1, key
        }
        printf "%d q\n", seconds + 1
    }' "$@"
}

# plays NAME OPTION... - with the keys of $work/NAME.keys
plays() {
    local name=$1
    shift
    HASTY_SOUND=$work/sound HASTY_KEYS=$work/$name.keys "$helpers/hasty" play "$@" --rate 8000 --plain \
        --journal "$work/$name.jsonl" >"$work/$name.out" 2>&1
}

# replays NAME - the journal gives the samples that were heard, to the bit
replays() {
    "$holdfast" replay "$work/$1.jsonl" --bits float -o "$work/replay.wav" >/dev/null || return
    local at size
    for at in $(grep -abo data "$work/replay.wav" | cut -d: -f1); do # the chunk, not what points to it
        size=$(od -An -tu4 -j $((at + 4)) -N 4 "$work/replay.wav")
        [ "$size" -gt 30000000 ] && break
    done
    [ "$size" -gt 30000000 ] && cmp -n "$size" -i $((at + 8)):0 "$work/replay.wav" "$work/sound"
}

# ten_minutes NAME OPTION... - of keys at random
ten_minutes() {
    local name=$1
    shift
    # shellcheck disable=SC1003
    script "${#name}" 600 '\s' p '\r' '\r' '\e[D' '\e[6~' r g m 1 2 3 4 5 6 0 n x '\e[A' '\e[B' '?' >"$work/$name.keys"
    ok "ten_minutes_of_${name}_end_well" plays "$name" "$@"
    ok "${name}_replays" replays "$name"
}

for way in lead confirm silent ear gap reverse; do
    ten_minutes "$way" improvise --cue "$way" --every 7s --rounds 40 --seed 5
done
ten_minutes unfold improvise --unfold all --every 7s --step 2s --rounds 40 --seed 5
ten_minutes fading improvise --support fading --every 7s --rounds 20 --seed 5
ten_minutes breathe improvise --breathe 12s..4s --rounds 40 --seed 5
ten_minutes pedal improvise --one-pedal --every wait --rounds 40 --seed 5
ten_minutes breaks improvise --every 7s --rounds 40 --break-every 1m --seed 5
ten_minutes sight sight --every 7s --rounds 40 --seed 5
ten_minutes warmup warmup --for 30m --every 8s --seed 5
ten_minutes eared ear --every 7s --rounds 40 --near-miss --seed 5

# levels NAME - in their order
levels() {
    sed -n 's/.*"t":"level","at":[0-9]*,"level":\([0-9]\),"why":"\([a-z]*\)".*/\1 \2/p' "$work/$1.jsonl" |
        tr '\n' ' '
}

# Each cue of 5 s is marked when it has been named: ten minutes are ten rounds of 12.
for mark in g m; do
    awk -v mark=$mark 'BEGIN { for (t = 5.5; t < 600; t += 5) printf "%.1f %s\n", t, mark; print "601 q" }' \
        >"$work/$mark.keys"
done
always=(ear --near-miss --every 5s --lead-in 1s --rounds 30 --seed 5)
ok a_player_who_knows_ends_well plays g "${always[@]}"
ok goes_up_every_two_rounds test "$(levels g)" = '1 start 2 up 3 up 4 up 5 up 6 up '
ok and_replays replays g
ok a_player_who_never_knows_ends_well plays m "${always[@]}" --level 5+
ok goes_down_every_round test "$(levels m)" = '5 start 4 down 3 down 2 down 1 down '
ok and_replays_too replays m
# A round of six, then the first again: a completion that was missed twice is told once.
printf '3 m\n9 m\n39 m\n41 q\n' >"$work/marks.keys"
plays marks --held 'C E G#' --order listed --every 6s --lead-in 2s --rounds 2
ok each_missed_completion_has_a_line test "$(sed -n 's/^  *missed \(.*[)s]\)$/\1/p' "$work/marks.out")" = \
    "C# D G 2 times
C# F# G (cue 2)"
rig_end
