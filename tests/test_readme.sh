#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Every command line of the README and of the manual page, run in an empty directory with an empty
# home: each ends with status 0. What would sound is rehearsed (--dry-run) or written to a file; the
# class of 300 is one of 3.
set -u
build=$(cd "${BUILD:-build}" && pwd)
readme=$PWD/README.md
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
number=0
export HOME=$work/home
unset XDG_STATE_HOME XDG_CONFIG_HOME
mkdir "$HOME"
cd "$work" || exit 1
ln -s "$build" build

# The commands, as they stand: in indented blocks, without the prompt and the remarks.
sed -n 's/^    \(\$ \)\{0,1\}\(\(build\/holdfast\|cmp\|mkdir\|seq\) .*\)$/\2/p' "$readme" |
    sed 's/  *# .*//' >commands
build/holdfast --print-manual | sed -n 's/^\(\.Dl \)\{0,1\}\(holdfast .*\)$/build\/\2/p' |
    grep -E 'holdfast (play|render|replay|complete|inspect) ' >>commands
# A journal and a file of keys that others of them read; neither is empty, or the check would be.
grep -m 1 'render .*round.jsonl' commands | sh >/dev/null
sed -n '/^    # my.keys/,/^$/s/^    //p' "$readme" >my.keys

# A session that ended early, to go on with.
mkdir -p "$HOME/.local/state/holdfast"
head -n 5 round.jsonl | tee "$HOME/.local/state/holdfast/2026-11-25-101500.jsonl" >lesson.jsonl
[ -s round.jsonl ] && [ -s my.keys ] || echo "not ok - the files that others read"
while read -r line; do
    number=$((number + 1))
    run=$(sed -e 's|/home/you/[^ ]*\.jsonl|round.jsonl|' -e 's/seq 1 300/seq 1 3/' \
        -e 's/\(patches .*\)--play/\1-o timbre.wav/' -e 's/\(holdfast play.*\)/\1 --dry-run/' \
        -e '/--save/s/ --dry-run//' <<<"$line")
    if sh -c "$run" >out 2>err </dev/null; then
        echo "ok $number - $line"
    else
        echo "not ok $number - $line"
        sed 's/^/# /' err
    fi
done < <(grep -v '^$' commands)
echo "1..$number"
