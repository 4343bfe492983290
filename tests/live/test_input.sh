#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# A session without keys, whatever stdin is, and after its terminal has gone: it plays to its end, or
# ends with its fade where only a key could go on, and in no case runs hot meanwhile.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

journal=$work/live.jsonl
session=(--held 'C E G#' --seed 7 --every 0.5s --lead-in 0.2s --rounds 1 --journal "$journal")
TIMEFORMAT='%R %U %S'

# calm STATUS - the command before ended so, in the time of its session (8.2 s, as planned), with less
# than a fifth of a core: what the sound of such a session costs is some 2 %, the rest is starting
calm() {
    cat "$work/time" "$work/out" "$work/err" 2>/dev/null
    [ "$status" -eq "$1" ] && awk '{ exit !($2 + $3 < $1 / 5) }' "$work/time" &&
        tail -n 1 "$journal" | grep -q '"t":"end".*"why":"finished"'
}

# played COMMAND... - runs it, with its time
played() {
    rm -f "$journal"
    { time "$@" >"$work/out" 2>"$work/err"; } 2>"$work/time"
    status=$?
}

rig_start
for _ in 1 2 3; do echo 'qqqppp'; done >"$work/file"
from_file() { "$holdfast" play "${session[@]}" <"$work/file"; }
closed() { "$holdfast" play "${session[@]}" <&-; }
from_folder() { "$holdfast" play "${session[@]}" <"$work"; }
from_ended_pipe() { : | "$holdfast" play "${session[@]}"; }
to_nobody() { "$holdfast" play "${session[@]}" </dev/null | true; return "${PIPESTATUS[0]}"; }
played from_file
ok a_file_is_no_hands calm 0
played closed
ok without_stdin calm 0
played from_folder
ok a_folder_is_no_hands calm 0
played from_ended_pipe
ok a_pipe_that_has_ended calm 0
played to_nobody
ok what_nobody_reads_is_no_reason_to_stop_the_sound calm 74

# Started by something that ignores SIGHUP: the session goes on without its terminal.
gone() {
    # shellcheck disable=SC2016 # the inner shell expands it
    "$helpers/hands" "$work/screen" until=' 1 of 6 ' hang-up -- /bin/sh -c \
        'trap "" HUP; exec "$@"' sh "$holdfast" play --start now "${session[@]}"
}
played gone
ok a_terminal_that_has_gone calm 0
rig_end
