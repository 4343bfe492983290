#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The screen in a real terminal (tmux): every practice in three sizes says what to do; a storm of
# sizes, down to 1 by 1, leaves it right; and whatever ends or stops it, the modes of the terminal,
# its cursor and its first screen are as they were, with the screen, in plain lines and into a pipe.
# shellcheck source=../live/rig.sh
. "$(dirname "$0")/../live/rig.sh"

pane() { tmux -f /dev/null -L "$JACK_DEFAULT_SERVER" "$@" 2>/dev/null; }
seen() { pane capture-pane -p -t "$1"; }
# The options that a practice goes with.
options() {
    case $1 in
    roam | hunt) echo "$1 --held 048 --seed 7" ;;
    sight) echo "$1 --seed 7 --every 6s --lead-in 0.3s" ;;
    *) echo "$1 --held 048 --seed 7 --every 6s --lead-in 0.3s --rounds 1" ;;
    esac
}

# begin NAME COLS ROWS SUFFIX PRACTICE ARGUMENT... - a player in a terminal of its own, in a shell
begin() {
    local name=$1 cols=$2 rows=$3 suffix=$4 practice
    practice=$(options "$5")
    shift 5
    cat >"$work/$name.sh" <<SHELL
stty -a >'$work/$name.before'
export TERM='${term:-tmux-256color}' CRASH_AFTER='${CRASH_AFTER:-}'
'${program:-$holdfast}' play $practice --start now ${*@Q} --journal '$work/$name.jsonl' $suffix
echo "ended \$?" >'$work/$name.ended'
stty -a >'$work/$name.after'
sleep 1000
SHELL
    rm -f "$work/$name.jsonl"
    pane new-session -d -s "$name" -x "$cols" -y "$rows" "bash '$work/$name.sh'"
}

# soon COMMAND... - is it so within fifteen seconds?
soon() {
    for _ in $(seq 150); do
        "$@" && return 0
        sleep 0.1
    done
    return 1
}

shows() { seen "$1" | grep -qE -- "$2"; }
blocks() { [ "$(seen "$1" | grep -c '[█▀▄]')" -ge "$2" ]; }
player() { pgrep -P "$(pane display -p -t "$1" '#{pane_pid}')" -f "$holdfast play"; }
ended() { [ -s "$work/$1.ended" ] && [ -e "$work/$1.after" ]; }

# as_before NAME - ended, and the terminal is as it was: modes, cursor, first screen
as_before() {
    soon ended "$1" && sleep 0.2 && cat "$work/$1.ended" && cmp "$work/$1.before" "$work/$1.after" &&
        [ "$(pane display -p -t "$1" '#{cursor_flag} #{alternate_on}')" = '1 0' ]
}

# says PATTERN NAME - soon, and letters of seven rows or a list are there
says() {
    soon shows "$2" "$1" || { seen "$2"; return 1; }
}

rig_start
pane new-session -d -s anchor 'sleep 1000' # the server stays while sessions come and go
trap 'pane kill-server; rig_clean' EXIT

# ---- every practice, three sizes ----

declare -A expects=([improvise]='sound in 0:0' [roam]='6 +F Bb B|a number' [hunt]='type notes'
    [ear]='name in|listen' [sight]='[12] ' [warmup]='next cue in|rest in')
for practice in improvise roam hunt ear sight warmup; do
    begin "$practice-40" 40 12 '' "$practice"
    begin "$practice-80" 80 24 '' "$practice"
    begin "$practice-160" 160 50 '' "$practice"
    for cols in 40 80 160; do
        ok "${practice}_in_${cols}_columns" says "${expects[$practice]}" "$practice-$cols"
    done
    [ "$practice" = sight ] || # which asks what is held
        ok "${practice}_says_what_is_held" says 'held C E G#' "$practice-40"
    [ "$practice" = hunt ] || [ "$practice" = roam ] || [ "$practice" = sight ] ||
        ok "${practice}_is_in_large_letters" soon blocks "$practice-40" 7
    for cols in 40 80 160; do
        pane send-keys -t "$practice-$cols" q
    done
    for cols in 40 80 160; do
        ok "${practice}_leaves_${cols}_columns_as_they_were" as_before "$practice-$cols"
        pane kill-session -t "$practice-$cols"
    done
done

# ---- sizes ----

begin storm 80 24 '' improvise
soon shows storm 'sound in'
for size in '1 1' '200 60' '40 12' '39 11' '1 50' '100 1' '2 2' '120 40' '300 90' '10 5' '80 24'; do
    pane resize-window -t storm -x "${size% *}" -y "${size#* }"
    [ $((RANDOM % 2)) = 0 ] || sleep 0.03
done
ok after_a_storm_of_sizes_it_is_whole says '^ (sound|next cue|end) in 0:0.*─' storm
pane send-keys -t storm q
ok after_a_storm_the_terminal_is_as_it_was as_before storm
ok after_a_storm_the_session_replays "$holdfast" replay "$work/storm.jsonl" --dry-run

# ---- ends ----

# signalled SIGNAL... - each of them in each way of showing
signalled() {
    local way signal suffix option
    for way in screen plain pipe; do
        suffix='' option=''
        [ "$way" = plain ] && option=--plain
        [ "$way" = pipe ] && suffix='| cat'
        for signal; do
            begin "$way-$signal" 80 24 "$suffix" improvise ${option:+"$option"}
        done
        for signal; do
            says 'find|FIND|held C|sound in' "$way-$signal" >/dev/null
            kill -s "$signal" "$(player "$way-$signal" | head -1)"
        done
        for signal; do
            ok "${signal}_leaves_the_${way}_as_it_was" as_before "$way-$signal"
            pane kill-session -t "$way-$signal"
        done
    done
}

signalled INT TERM HUP

begin stopped 80 24 '' improvise
says 'sound in' stopped >/dev/null
kill -TSTP "$(player stopped)"
cursor() { [ "$(pane display -p -t stopped '#{cursor_flag} #{alternate_on}')" = "$1" ]; }
ok stopped_it_gives_the_screen_back soon cursor '1 0'
sleep 1
kill -CONT "$(player stopped)"
ok going_on_it_draws_all_again soon cursor '0 1'
ok going_on_it_is_whole says '(sound|next cue) in 0:0' stopped
pane send-keys -t stopped q
ok stopped_and_gone_on_it_leaves_well as_before stopped

# ---- no such terminal ----

# Plain lines with a word about it; no busy loop, an end by itself.
for term in dumb nosuch; do
    begin "$term" 80 24 '' improvise
    ok "on_${term}_it_says_why_there_are_lines" says 'no screen \(' "$term"
    pane send-keys -t "$term" q
    ok "on_${term}_it_leaves_well" as_before "$term"
done

# ---- a crash ----

rig_stop
rig_start -t 500 # which does not wait for a player that is gone
signalled SEGV
# On the audio thread: before, while and after the screen is taken.
for frames in 0 2500 96000; do
    CRASH_AFTER=$frames program=$helpers/crashing begin "crash-$frames" 80 24 '' improvise
done
unmarked() { as_before "$1" && grep -qx 'ended 134' "$work/$1.ended" && ! blocks "$1" 1; }
for frames in 0 2500 96000; do
    ok "a_crash_after_${frames}_frames_leaves_the_screen_as_it_was" unmarked "crash-$frames"
    pane kill-session -t "crash-$frames"
done

pane kill-server
rig_end
