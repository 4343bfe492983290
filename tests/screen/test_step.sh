#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The screen changes when the sound is heard: within 20 ms, by the times at which a server heard the
# first sample and a terminal the bytes. On a machine that is busy with other things the server and
# the listener stumble themselves; so one run of three must keep to it. SOAK: a hundred cues.
# shellcheck source=../live/rig.sh
. "$(dirname "$0")/../live/rig.sh"

rounds=4 onsets=24
[ -z "${SOAK:-}" ] || rounds=17 onsets=100

in_step() {
    for try in 1 2 3; do
        TERM=xterm-256color "$build/tests/screen/step" "$onsets" 20 "$holdfast" play --start now --drone off --room -60 \
            --held 'C E G#' --seed 7 --every 0.9s --lead-in 1.5s --rounds "$rounds" \
            --journal "$work/$try.jsonl" && return 0
    done
    return 1
}

rig_start
ok the_screen_changes_when_it_is_heard in_step
tail -1 "$work/said" | sed 's/^/# /'
rig_end
