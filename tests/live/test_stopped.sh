#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A player that is stopped for longer than the server's patience, and goes on; a server that lives
# and has given the player up, or says nothing. JACK takes a read that a signal interrupts for the server's end, and
# PortAudio ends the program where such a client is then closed.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl

# wait_for FILE TEXT
wait_for() {
    for _ in $(seq 200); do
        grep -q "$2" "$1" 2>/dev/null && return
        sleep 0.05
    done
}

# unreachable PID - each thread but the first one blocks HUP, INT, TERM, CONT and TSTP
unreachable() {
    local task mask wanted=$((1 << 0 | 1 << 1 | 1 << 14 | 1 << 17 | 1 << 19)) count=0
    for task in "/proc/$1/task"/*; do
        [ "${task##*/}" != "$1" ] || continue
        mask=$(sed -n 's/^SigBlk:[[:space:]]*//p' "$task/status")
        [ $((16#${mask: -8} & wanted)) -eq $wanted ] || { echo "thread ${task##*/} blocks $mask" && return 1; }
        count=$((count + 1))
    done
    [ $count -ge 1 ]
}

# went_on - the cue that was stopped is the one that went on, nothing was lost, and it was left well
went_on() {
    cat "$work/out" "$work/err"
    sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' ' >"$work/types"
    cat "$work/types"
    [ "$status" -eq 143 ] && [ ! -s "$work/err" ] && [ "$(cat "$work/types")" = 'session hold cue cue end ' ]
}

for kind in patient impatient; do
    if [ $kind = patient ]; then rig_start -S; else rig_start -t 200; fi
    "$holdfast" play --held 'C E G#' --seed 7 --every 60s --lead-in 0s --rounds 1 --journal "$journal" \
        </dev/null >"$work/out" 2>"$work/err" &
    player=$!
    wait_for "$work/out" '1 of 6'
    ok "signals_reach_the_first_thread_alone_of_a_${kind}_server" unreachable "$player"
    kill -TSTP "$player"
    sleep 1.5
    kill -CONT "$player"
    sleep 1.5 # so long it takes to notice a loss
    kill -TERM "$player"
    status=0
    wait "$player" || status=$?
    ok "stopped_it_goes_on_at_a_${kind}_server" went_on
    rm -f "$journal"
    for way in thrown-out deaf; do
        ok "${way}_by_a_${kind}_server_it_plays_again" "$helpers/probe" "$way"
    done
    rig_stop
done

# A server that takes the connection and says nothing.
rig_start
kill -STOP "$server"
status=0
"$holdfast" play --rounds 1 </dev/null >"$work/out" 2>"$work/err" || status=$?
refused() { cat "$work/err" && [ "$status" -eq 69 ] && [ "$(cat "$work/err")" = "holdfast: the sound system does not answer" ]; }
ok a_server_that_says_nothing_is_not_waited_for_without_end refused
rig_end
