# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# rig: a private sound server without a sound card, to be sourced by the tests of this folder. What
# is played to it can be recorded to the bit. Everything is kept in a folder under $BUILD that goes
# when the test ends well.
#
# The server is jackd with its dummy driver: paced like a sound card. Synchronous (-S) it waits for
# the player, so that nothing is lost on a busy machine. It is ended with TERM: after some servers
# killed with -9 none starts any more.

set -u
build=$(cd "${BUILD:-build}" && pwd)
holdfast=$build/holdfast
helpers=$build/tests/live
work=$(mktemp -d "$build/live-XXXXXX")
export XDG_STATE_HOME=$work/state XDG_CONFIG_HOME=$work/config
export JACK_DEFAULT_SERVER=holdfast-$$
export TERM=dumb # sessions tell in lines, whatever terminal the tests run at; tests/screen has screens
server='' recorder='' checks=0 failures=0

# Without cards ALSA has nothing to offer; an empty file trips an assertion in it.
printf 'pcm.nosuch { type hw card 9 }\n' >"$work/alsa.conf"
export ALSA_CONFIG_PATH=$work/alsa.conf

# ok WHAT COMMAND... - one check: the command succeeds. What it says is shown when it doesn't.
ok() {
    local what=$1
    shift
    checks=$((checks + 1))
    if "$@" >"$work/said" 2>&1; then
        echo "ok $checks - $what"
    else
        echo "not ok $checks - $what"
        sed 's/^/# /' "$work/said"
        failures=$((failures + 1))
    fi
}

# rig_start OPTION... - starts the server; options of jackd and its driver beside the usual ones.
# Set rate, period and outputs (channels) before, if not 48000, 1024 and 2.
# Tests that kill the player want `-t 500` in place of -S.
rig_start() {
    jackd -p 64 -n "$JACK_DEFAULT_SERVER" -r "${@:--S}" -d dummy -r "${rate:-48000}" \
        -p "${period:-1024}" -P "${outputs:-2}" -m >"$work/jackd.log" 2>&1 &
    server=$!
    if ! jack_wait -w -t 10 >"$work/jack_wait.log" 2>&1; then
        echo "not ok - the sound server starts"
        sed 's/^/# /' "$work/jackd.log"
        exit 1
    fi
}

rig_stop() {
    [ -n "$server" ] || return 0
    kill -CONT "$server" 2>/dev/null
    kill -TERM "$server" 2>/dev/null
    wait "$server" 2>/dev/null
    server=''
}

# rig_record FILE SECONDS - records what is played from now on; rig_recorded waits for its end.
# Of a mono output it records the one channel twice.
rig_record() {
    jack_rec -f "$1" -d "$2" -b 32 system:monitor_1 "system:monitor_${outputs:-2}" >"$work/rec.log" 2>&1 &
    recorder=$!
    for _ in $(seq 100); do # until it is connected
        jack_lsp -c system:monitor_1 2>/dev/null | grep -q jackrec && return 0
        sleep 0.05
    done
}

rig_recorded() {
    wait "$recorder"
    recorder=''
}

# Prints the plan and leaves with the right status; the folder stays when something failed.
rig_end() {
    rig_stop
    echo "1..$checks"
    [ "$failures" -eq 0 ] && rm -rf "$work"
    [ "$failures" -eq 0 ]
    exit
}

rig_clean() {
    [ -z "$recorder" ] || kill "$recorder" 2>/dev/null
    rig_stop
}
trap rig_clean EXIT
trap '' PIPE # a player that is gone is a failed check, not the end of the test
