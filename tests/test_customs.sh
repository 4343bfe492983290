#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The customs of a Unix program, through the program. published: POSIX.1-2017, XBD 12.2, guidelines 8
# to 14 (and 5 to 7, where there are letters); XDG Base Directory Specification 0.8; the contract: a
# journal's directory is 0700, files go by the umask, a name is never a way out of a directory.
set -u
build=$(realpath "${BUILD:-build}")
holdfast=$build/holdfast
hasty=$build/tests/live/hasty # the program on a virtual clock, its sound going nowhere
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
mkdir home
unset XDG_STATE_HOME XDG_CONFIG_HOME HASTY_SOUND
export HOME=$work/home HASTY_KEYS=/dev/null
number=0
ok() { # description, command...
    number=$((number + 1))
    local what=$1
    shift
    if "$@" >"$work/said" 2>&1; then echo "ok $number - $what"; else
        echo "not ok $number - $what"
        sed 's/^/# /' "$work/said"
    fi
}
ends() { # status, command...
    local status=$1
    shift
    "$@" </dev/null
    [ $? -eq "$status" ]
}
same() { # a command, its words; "and"; another: both do the same
    local first=()
    while [ "$1" != and ]; do first+=("$1"); shift; done
    shift
    diff <("${first[@]}" 2>&1; echo $?) <("$@" 2>&1; echo $?)
}
session=(--held 'C E G#' --every 0.5s --lead-in 0 --rounds 1 --seed 1 --rate 8000)

# ---- the syntax of utilities ----

ok 'a letter and its argument may be one word (5, 6)' same "$holdfast" render "${session[@]}" -oa.wav and \
    "$holdfast" render "${session[@]}" -o a.wav
ok 'an argument is never optional (7)' ends 64 "$holdfast" render "${session[@]}" -o
ok 'several arguments in one, by commas (8)' same "$holdfast" complete 'C,E,G#' and "$holdfast" complete 'C E G#'
ok 'patches to compare, by commas (8)' ends 0 "$holdfast" patches --compare flute,reed -o pair.wav
ok 'options may stand before operands (9)' ends 0 "$holdfast" complete --names flats C E 'G#'
ok 'and after them, as GNU has it' same "$holdfast" complete --names flats C E 'G#' and \
    "$holdfast" complete C E 'G#' --names flats
ok '-- ends the options (10)' same "$holdfast" complete -- C E 'G#' and "$holdfast" complete C E 'G#'
ok 'after -- nothing is an option (10)' ends 64 "$holdfast" complete C E 'G#' -- --json
ok 'a file whose name begins with a dash, after -- (10)' eval \
    'cd "$work" && "$holdfast" render "${session[@]}" --dry-run --journal ./-j && "$holdfast" replay --dry-run -- -j'
ok 'the order of options makes no difference (11)' same "$holdfast" render --dry-run --seed 7 --rounds 1 and \
    "$holdfast" render --rounds 1 --seed 7 --dry-run
ok 'the order of operands is kept where it matters (12)' eval \
    '! diff <("$holdfast" inspect C3 E3 G3) <("$holdfast" inspect G3 E3 C3)'
ok '- is the standard input (13)' eval 'test "$(echo C E G | "$holdfast" inspect -)" != ""'
ok 'a word with a dash that is no option is refused (14)' ends 64 "$holdfast" complete -C
ok 'a negative number is an argument of its option (14)' ends 0 "$holdfast" render --dry-run --volume -6

# ---- an output that nobody reads ----

# Whatever those who started us do with the signal.
unread() {
    { until [ -e closed ]; do sleep 0.01; done
      env --default-signal=PIPE "$holdfast" patches 2>err; echo $? >status; } | { exec <&-; : >closed; }
    cat status err
    [ "$(cat status)" = 74 ] && grep -q '^holdfast: the output could not be written' err
}
ok 'an output that nobody reads is an error and no sudden death' unread

# A warning that names what a stranger named.
warned() {
    mkdir -p $'\e[31mred/holdfast' && : >$'\e[31mred/holdfast/patches'
    env XDG_CONFIG_HOME="$work/"$'\e[31mred' "$holdfast" patches >out 2>err
    cat -v err
    grep -q '^holdfast: .*left out' err && ! grep -q $'\e' out err
}
ok 'no name commands the terminal in a warning' warned

# ---- base directories ----

plays() { # environment words...: plays a round, without --journal
    env "$@" "$hasty" play --start now "${session[@]}" >"$work/out" 2>"$work/err" </dev/null
}
lies_in() { # directory, environment...: that is where the journal is, and nowhere else
    local where=$1
    shift
    rm -rf "$work"/home "$work"/state "$work"/holdfast && mkdir "$work"/home
    plays "$@" || { cat "$work/out" "$work/err"; return 1; }
    local found
    found=$(find "$work" -name '*.jsonl' -path '*holdfast*' ! -path '*/-j')
    [ "$(dirname "$found")" = "$where" ] || { echo "$found"; return 1; }
}
default=$work/home/.local/state/holdfast
ok 'unset, the state is under ~/.local/state' lies_in "$default" A=b
ok 'empty, it is as unset' lies_in "$default" XDG_STATE_HOME=
ok 'relative, it is ignored' lies_in "$default" XDG_STATE_HOME=state
rel_home() { # a home that is relative is none: there is no place then, which is told
    env -u XDG_STATE_HOME HOME=home "$hasty" play --start now "${session[@]}" >out 2>err </dev/null
    [ $? -eq 73 ] && grep -q 'neither HOME nor XDG_STATE_HOME' err
}
ok 'a relative HOME is no place' rel_home
ok 'absolute, it is there' lies_in "$work/state/holdfast" XDG_STATE_HOME="$work/state"
ok 'the directory of journals is for its owner alone' test "$(stat -c %a "$work/state/holdfast")" = 700
mode_of() { # umask, mode: of a journal, a sound file and a page
    rm -rf "$work"/home/.local made.*
    (umask "$1" && plays A=b && "$holdfast" render "${session[@]}" -o made.wav --journal made.jsonl &&
        "$holdfast" sheet "${session[@]}" --synth -o made.html) >/dev/null 2>&1
    stat -c '%a %n' "$default"/*.jsonl made.wav made.jsonl made.html >modes
    cat modes
    [ "$(grep -c "^$2 " modes)" -eq 4 ] && [ "$(wc -l <modes)" -eq 4 ] &&
        [ "$(stat -c %a "$default")" = 700 ]
}
ok 'files go by the umask (022)' mode_of 022 644
ok 'files go by the umask (077)' mode_of 077 600
ok 'files go by the umask (002)' mode_of 002 664

mkdir -p home/.config/holdfast/patches away/holdfast/patches
sed 's/^about = .*/about = my own/' < <("$holdfast" patches flute | sed -n '/^\[patch\]/,$p') >away/holdfast/patches/mine.ini
[ -s away/holdfast/patches/mine.ini ] || cp "$OLDPWD"/patches/flute.ini away/holdfast/patches/mine.ini
ok 'settings: absolute is looked at' env XDG_CONFIG_HOME="$work/away" "$holdfast" patches mine
ok 'settings: relative is not' ends 66 env XDG_CONFIG_HOME=away "$holdfast" patches mine
ok 'settings: empty is not' ends 66 env XDG_CONFIG_HOME= "$holdfast" patches mine

# ---- records of one's own ----

# Several sessions begin in the same second: more of them than seconds go by.
each_has_its_own() {
    local begun=$SECONDS runs=0
    rm -rf home/.local
    while [ $runs -lt 4 ] || [ $runs -le $((SECONDS - begun + 1)) ]; do
        plays A=b || return 1
        runs=$((runs + 1))
    done
    ls "$default"
    [ "$(find "$default" -name '*.jsonl' -size +0 | wc -l)" -eq $runs ]
}
ok 'sessions that begin in one second have a record each' each_has_its_own
over() { # a session with a journal that is there
    cp made.jsonl lesson.jsonl
    HASTY_KEYS=/dev/null ends 73 "$hasty" play --start now "${session[@]}" --journal lesson.jsonl
    cmp made.jsonl lesson.jsonl
}
ok 'a record that was played is not written over' over

# ---- nothing leaves the machine ----

# What the program itself asks of the system (nm): no socket, no name of another machine, no program that
# could. Libraries of sound have their own, for servers on this machine.
own=$(nm -u "$build"/*/*.o 2>/dev/null | awk '$1 == "U" { print $2 }' | sort -u)
asks_nobody() {
    [ "$(wc -w <<<"$own")" -gt 100 ] || return 1
    ! grep -xE 'socket|connect|sendto|sendmsg|getaddrinfo|gethostby.*|popen|system|execv?p?e?|posix_spawnp?|fork|vfork' <<<"$own"
}
ok 'it asks the system for no connection and no other program' asks_nobody

# ---- names are no ways ----

echo secret >home/.config/holdfast/secret.ini
cp away/holdfast/patches/mine.ini home/.config/holdfast/outside.ini
for name in ../outside ../../holdfast/outside patches/../../outside; do
    ok "a patch named $name is not looked for outside" ends 66 "$holdfast" render --dry-run --patch "$name"
done
ok 'a session is kept by its name' ends 0 "$holdfast" play --held 'C E G#' --save fine
mkdir home/.config/holdfast/sessions/a # so that it is the name that is refused
for name in ../evil a/b . .. /tmp/evil .hidden ''; do
    ok "no session is kept as \"$name\"" ends 64 "$holdfast" play --held 'C E G#' --save "$name"
done
ok 'nothing was kept anywhere' eval '! find "$work" -name "evil*" -o -name b.ini -o -name "*hidden*" | grep .'
# A journal with names in its head that would lead away: tracks and stems lie where they were asked for.
"$holdfast" render "${session[@]}" --label '../../../tmp/evil' --journal label.jsonl --dry-run >/dev/null
mkdir inner
ok 'tracks lie in the directory asked for, whatever the label says' eval \
    '"$holdfast" replay label.jsonl --tracks inner/tracks && test "$(find "$work" /tmp -maxdepth 1 -name "evil*" | wc -l)" -eq 0 &&
     test "$(ls inner)" = tracks'
echo "1..$number"
