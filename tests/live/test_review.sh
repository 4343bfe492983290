#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The plan for today, played in turn on a virtual clock; what was played is in the next review, and
# each record replays.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

# marked NAME - the number of that member over all completions in the JSON
marked() {
    "$holdfast" review --json | grep -o "\"$1\":[0-9]*" | awk -F: '{ sum += $2 } END { print sum + 0 }'
}

sessions() {
    "$holdfast" review --json | grep -o '"sessions":[0-9]*' | awk -F: '{ sum += $2 } END { print sum + 0 }'
}

# a day's practice: a mark every three seconds, mostly got
awk 'BEGIN { for (t = 20; t < 600; t += 3) print t, t % 4 ? "g" : "m" }' >"$work/keys"
export HASTY_KEYS=$work/keys
ok 'a session is played' "$helpers/hasty" play --held 'C E G#' --every 5s --seed 1 --rate 8000 --plain
ok 'it is in the review' test "$(sessions)" = 1
got=$(marked got) missed=$(marked missed)
ok 'with its marks' test $((got + missed)) -ge 8

ok 'the plan is played' "$helpers/hasty" review --plan 4m --run
cp "$work/said" "$work/plan"
ok 'in four sessions' test "$(grep -c '^Record: ' "$work/plan")" = 4
ok 'the weakest is named before them' test "$(grep -n '^Weakest: ' "$work/plan" | cut -d: -f1)" = 1
ok 'all of them are in the review' test "$(sessions)" = 5
ok 'a triad that was not practised is now held' grep -q '^Held:  C#3 F3 A3' "$work/plan"

replayed=0
for journal in "$XDG_STATE_HOME"/holdfast/*.jsonl; do
    "$holdfast" replay "$journal" --dry-run >/dev/null && replayed=$((replayed + 1))
done
ok 'and each replays' test "$replayed" = 5

before=$("$holdfast" review --json)
rm "$XDG_STATE_HOME"/holdfast/review.index
ok 'without the index it is the same' test "$("$holdfast" review --json)" = "$before"
"$holdfast" review --plan 1h >"$work/hour"
ok 'the plan of an hour has commands' grep -q ' play ear --held ".*" --order weak --for 21m$' "$work/hour"
rig_end
