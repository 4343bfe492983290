#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What runs the tests, run on tests that pass, fail, crash, hang and make too few checks: each is told,
# and none passes for another.
. "$(dirname "$0")/tap.sh"
mkdir -p "$work/tests/live"

# a_test NAME: its text is what comes in.
a_test() { cat >"$work/tests/$1.sh"; }
a_test passes <<<'for i in $(seq 100); do echo "# passes $i"; done; echo "ok 1 - it"; echo "ok 2 - it # SKIP why"; echo 1..2'
a_test fails <<<'echo "ok 1 - it"; echo "not ok 2 - it"; echo 1..2; exit 1'
a_test says_no_but_ends_well <<<'echo "not ok 1 - it"; echo 1..1'
a_test crashes <<<'echo "ok 1 - it"; echo 1..1; kill -SEGV $$'
a_test hangs <<<'echo "ok 1 - it"; echo 1..1; sleep 60'
a_test stops_early <<<'echo 1..3; echo "ok 1 - it"; echo "ok 2 - it"'
a_test is_silent <<<':'
a_test live/plays <<<'for i in $(seq 100); do echo "# plays $i"; done; echo "ok 1 - it"; echo 1..1'
a_test live/fails_too <<<'echo "not ok 1 - it"; echo 1..1; exit 1'
a_test is_interrupted <<<'trap "echo ok 1 - it; echo 1..1; exit 0" INT; kill -INT $$; exit 1'
a_test names_its_build <<<'echo "ok 1 - on $BUILD"; echo 1..1'

# runs NAME...: the tests of these names.
runs() {
    local names=() name
    for name in "$@"; do names+=("$work/tests/$name"); done
    LIMIT=1 TMPDIR=$work .ci/check "${names[@]}" >"$work/out" 2>&1
}
fails() { ! runs "$@" && tail -n 1 "$work/out" | grep -qE ' [1-9][0-9]* failed$'; }
told() { grep -qF -- "$1" "$work/out"; }

check 'what passes passes' runs passes.sh live/plays.sh is_interrupted.sh
check 'the sum is the last line' test "$(tail -n 2 "$work/out" | tr '\n' ' ')" = '1 skipped 3 passed, 0 failed '
check 'with the seconds of each' test "$(grep -cE '^# .*\.sh \([0-9.]+ s, ' "$work/out")" -eq 3
check 'nothing is left behind' test -z "$(find "$work" -mindepth 1 -maxdepth 1 -name 'tmp.*')"
for name in fails says_no_but_ends_well crashes hangs stops_early is_silent is_missing live/fails_too; do
    check "one that $name fails it" fails passes.sh "$name.sh" live/plays.sh
    check 'the others pass beside it' sh -c "tail -n 1 '$work/out' | grep -qE '^[2-4] passed, 1 failed$'"
done
a_test kills_its_runner <<<'kill -KILL "$(cut -d " " -f 4 "/proc/$PPID/stat")"; sleep 1'
check 'one whose runner is gone fails it' fails kills_its_runner.sh passes.sh
check 'and is told' told '1 tests were not run to their end'
check 'a script can be run on another build' runs "names_its_build.sh:$work/other"
check 'which it is told' told "ok 1 - on $work/other"
runs passes.sh live/plays.sh stops_early.sh hangs.sh crashes.sh live/fails_too.sh is_silent.sh
check 'all is told of a test before another is' test "$(grep -oE '^# (pass|play)' "$work/out" | uniq -c | wc -l)" -eq 2
check 'seven of seven were run' test "$(grep -c '^# /' "$work/out")" -eq 7
check 'a crash has its status' told 'crashes.sh ended with status 139'
check 'a hang its limit' told 'hangs.sh took more than 1 s'
check 'what is missing its number' told 'stops_early.sh made 2 checks of 3'
check 'no check is none' told 'is_silent.sh made no check'
check 'all together are summed up' test "$(tail -n 1 "$work/out")" = '6 passed, 5 failed'

# Ended from outside, it takes what it runs with it.
a_test hangs <<<"echo \$\$ >'$work/hanging'; sleep 60"
TMPDIR=$work LIMIT=20 .ci/check "$work/tests/hangs.sh" >"$work/out" 2>&1 &
for _ in $(seq 100); do [ -s "$work/hanging" ] && break; sleep 0.05; done
kill -TERM $!
asked=$SECONDS
wait $!
check 'ended from outside it does not pass' test $? -eq 130
for _ in $(seq 100); do kill -0 "$(cat "$work/hanging")" 2>/dev/null || break; sleep 0.05; done
check 'and takes what it runs with it' sh -c "! kill -0 $(cat "$work/hanging") 2>/dev/null"
check 'at once' test $((SECONDS - asked)) -lt 10
echo "1..$number"
