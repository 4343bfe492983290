#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What hands do at a terminal, odd things too: after each the terminal is as it was, the journal has
# what was done and replays, and the program ends by the right status or signal.
# shellcheck source=rig.sh
. "$(dirname "$0")/rig.sh"

way=(--every 1.5s --lead-in 0.5s --rounds 1 --plain)
journal=$work/live.jsonl

# hands STEP... - play, with these steps
hands() {
    rm -f "$journal"
    "$helpers/hands" "$work/screen" "$@" -- "$holdfast" play --held 'C E G#' --seed 7 "${way[@]}" \
        --journal "$journal" >"$work/told" 2>&1
}

# types - the types of the journal's records in order
types() {
    sed -n 's/^{"n":[0-9]*,"t":"\([a-z]*\)".*/\1/p' "$journal" | tr '\n' ' '
}

# ended END TYPES - as hands tells; the journal's types match this pattern, and it replays
ended() {
    cat "$work/told"
    printf '\n%s\n' "$(types)"
    # shellcheck disable=SC2254 # a pattern
    [ "$(cat "$work/told")" = "$1" ] && case "$(types)" in $2) true ;; *) false ;; esac &&
        "$holdfast" replay "$journal" --dry-run
}

quit=$'status 0\nterminal as before'

# by NUMBER - ended by that signal
by() {
    printf 'signal %d\nterminal as before' "$1"
}

rig_start

# ---- keys ----

hands until=Space 'press=gmr\e[D?x\e[99~\e[1;5CZ' wait=100 'press=\r' until=' 1 of 6 ' signal=15
ok keys_before_the_first_cue ended "$(by 15)" 'session hold cue next cue end '
ok marks_before_the_first_cue_are_told grep -q 'nothing to mark' "$work/screen"
hands until=Space press=q
ok quitting_in_the_lead_in ended "$quit" 'session hold cue end '
hands until=' 1 of 6 ' press=pp wait=800 'press=  ' wait=200 'press=\r\r' wait=300 press=qq
ok keys_pressed_twice ended "$quit" \
    'session hold cue cue pause resume stay go next cue next cue end '
hands until=' 1 of 6 ' press=p wait=700 press=q
ok quitting_in_a_pause ended "$quit" 'session hold cue cue pause end '
hands until=' 1 of 6 ' 'press= ' wait=200 press=q
ok quitting_in_a_stay ended "$quit" 'session hold cue cue stay end '
hands until=' 1 of 6 ' 'hold=40,33,\e[D' signal=15
ok again_held_down ended "$(by 15)" 'session hold cue cue again again again *end '
hands until=' 1 of 6 ' hold=41,33,p wait=700 signal=15
ok pause_held_down ended "$(by 15)" 'session hold cue cue pause resume pause *end '
hands until=' 1 of 6 ' 'hold=41,33, ' signal=15
ok stay_held_down ended "$(by 15)" 'session hold cue cue stay go stay go *end '
hands until=' 1 of 6 ' 'hold=40,33,\r' until='the sound fades' press=q
ok next_held_down ended "$quit" 'session hold cue cue next cue next cue next cue next cue next next end '
hands until=' 1 of 6 ' 'hold=100,0,p g\rmr\e[D' wait=300 signal=15
ok many_keys_pasted_at_once ended "$(by 15)" 'session hold cue cue *end '

# ---- signals ----

# What comes first is noted by one handler, whichever it is and whatever goes on.
hands until=Space signal=2
ok signal_2_in_the_lead_in ended "$(by 2)" 'session hold cue end '
hands until=' 1 of 6 ' signal=15
ok signal_15_in_a_cue ended "$(by 15)" 'session hold cue cue end '
hands until=' 1 of 6 ' press=p wait=600 signal=1
ok signal_1_in_a_pause ended "$(by 1)" 'session hold cue cue pause end '
hands until=' 1 of 6 ' 'press= ' wait=200 signal=2
ok signal_2_in_a_stay ended "$(by 2)" 'session hold cue cue stay end '
hands until=' 1 of 6 ' press=q wait=200 signal=2
ok a_signal_while_it_fades ended "$(by 2)" 'session hold cue cue end '
hands until=' 1 of 6 ' 'press=\c'
ok control_c ended "$(by 2)" 'session hold cue cue end '
hands until=' 1 of 6 ' 'press=\z\r' until=' 2 of 6 ' signal=15
ok control_z_stops_nothing ended "$(by 15)" 'session hold cue cue next cue end '
for signal in 3 6; do # no end is written: the program can't go on
    hands until=' 1 of 6 ' signal=$signal
    ok "signal_${signal}_leaves_the_terminal_well" ended "$(by $signal)" 'session hold cue cue '
done 2>/dev/null
hands until=' 1 of 6 ' stop wait=200 'press=\r' until=' 2 of 6 ' signal=15
ok stopped_and_going_on ended $'stopped, terminal as before\n'"$(by 15)" 'session hold cue cue next cue end '

# ---- the terminal goes away ----

hands until=' 1 of 6 ' hang-up
ok a_closed_terminal ended 'signal 1' 'session hold cue cue end '
hands until=' 1 of 6 ' press=p wait=600 hang-up
ok a_closed_terminal_in_a_pause ended 'signal 1' 'session hold cue cue pause end '

# deaf STEP... - the same, started by something that has SIGHUP ignored
deaf() {
    rm -f "$journal"
    # shellcheck disable=SC2016 # the inner shell expands it
    "$helpers/hands" "$work/screen" "$@" -- /bin/sh -c 'trap "" HUP; exec "$@"' sh "$holdfast" play \
        --held 'C E G#' --seed 7 "${way[@]}" --journal "$journal" >"$work/told" 2>&1
}
deaf until=' 1 of 6 ' press=p wait=600 hang-up
ok no_terminal_to_resume_a_pause ended 'status 74' 'session hold cue cue pause end '
deaf until=' 1 of 6 ' 'press= ' wait=200 hang-up
ok no_terminal_to_go_on_from_a_stay ended 'status 74' 'session hold cue cue stay end '
way=(--every wait --lead-in 0.5s --rounds 1 --plain)
deaf until=' 1 of 6 ' hang-up
ok no_terminal_to_say_when ended 'status 74' 'session hold cue cue end '

# ---- as the player says ----

hands until=' 1 of 6 ' 'press=\r' until=' hear ' 'press=\r' until=' 2 of 6 ' 'press=\r' until=' hear ' \
    'press=\r' until=' 3 of 6 ' signal=15
ok every_wait_sounds_first_and_then_goes_on ended "$(by 15)" \
    'session hold cue cue reveal next cue reveal next cue end '
way+=(--cue lead)
hands until=' 1 of 6 ' 'press=\r' until=' 2 of 6 ' 'press=\r' until=' 3 of 6 ' signal=15
ok every_wait_in_lead_goes_on_at_each_press ended "$(by 15)" \
    'session hold cue cue next cue next cue end '
way=(--every 0.1s --lead-in 0 --rounds 1 --plain)
hands until=' 6 of 6 ' signal=15
ok the_shortest_cues ended "$(by 15)" 'session hold cue cue cue cue cue cue end '

# ---- without some of its streams ----

# alone FILE-DESCRIPTOR... - status, journal and replay when these are closed
alone() {
    rm -f "$journal"
    (
        for stream in "$@"; do
            eval "exec $stream>&-"
        done
        exec "$holdfast" play --held 'C E G#' --seed 7 --every 0.1s --lead-in 0 --rounds 1 \
            --journal "$journal"
    ) </dev/null >"$work/out" 2>"$work/err"
    printf 'status %d' $? >"$work/told"
}
alone 0
ok without_stdin ended 'status 0' 'session hold cue cue cue cue cue cue end '
alone 1
ok without_stdout ended 'status 74' 'session hold cue cue cue cue cue cue end '
alone 2
ok without_stderr ended 'status 0' 'session hold cue cue cue cue cue cue end '
alone 0 1 2
ok without_any ended 'status 74' 'session hold cue cue cue cue cue cue end '

# ---- a replay ----

"$holdfast" render --held 'C E G#' --seed 7 --every 1s --lead-in 0.2s --rounds 20 --rate 44100 \
    --dry-run --journal "$work/long.jsonl" >/dev/null
"$helpers/hands" "$work/screen" until=' 1 of 120 ' press=p wait=600 press=pgx until=' 2 of 120 ' \
    press=q -- "$holdfast" replay --plain "$work/long.jsonl" >"$work/told" 2>&1
told() {
    cat "$work/told"
    [ "$(cat "$work/told")" = "$quit" ] && ! grep -q ' 4 of 120 ' "$work/screen"
}
ok a_long_replay_at_another_rate_pauses_and_leaves_at_once told
"$helpers/hands" "$work/screen" until=' 1 of 120 ' signal=2 -- "$holdfast" replay --plain "$work/long.jsonl" \
    >"$work/told" 2>&1
ok a_replay_ends_by_a_signal test "$(cat "$work/told")" = "$(by 2)"
rig_end
