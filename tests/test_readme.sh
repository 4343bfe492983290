#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Every command line of the README, in its blocks and in its text, and of the manual page, which has the
# examples of every --help, run in an empty directory with an empty home: each ends with status 0. What
# would sound is rehearsed (--dry-run) or written to a file, at 8 kHz; the class of 300 is one of 3. What the
# README shows of their output is test_readme_shown's.
set -u
build=$(cd "${BUILD:-build}" && pwd)
source=$PWD
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
names='play|render|replay|sheet|complete|inspect|pairings|shapes|review|patches|outputs'
grep -oE '`(build/holdfast )?('"$names"') [^`]*-[^`]*`' "$readme" |
    sed -E -e 's/`//g' -e 's|^(build/holdfast )?|build/holdfast |' -e 's/--salvage$/& --dry-run round.jsonl/' >>commands
build/holdfast --print-manual | sed -nE 's/^(\.Dl |  )?(holdfast ('"$names"') .*)$/build\/\2/p' >>commands
of() { grep -c "^build/holdfast $1 " commands; } # and none is missed
for name in ${names//|/ }; do
    [ "$name" = outputs ] || [ "$(of "$name")" -ge 2 ] || echo "not ok - commands of $name"
done
# A journal and a file of keys that others of them read; neither is empty, or the check would be.
grep -m 1 'render .*round.jsonl' commands | sed 's/$/ --rate 8000/' | sh >/dev/null
sed -n '/^    # my.keys/,/^$/s/^    //p' "$readme" >my.keys

# A session that ended early, to go on with.
mkdir -p "$HOME/.local/state/holdfast"
head -n 5 round.jsonl | tee "$HOME/.local/state/holdfast/2026-11-25-101500.jsonl" >lesson.jsonl
cp round.jsonl session.jsonl
mkdir sent && build/holdfast render --dry-run --rounds 1 --label 'Student 12' --journal sent/12.jsonl >/dev/null
[ -s round.jsonl ] && [ -s my.keys ] || echo "not ok - the files that others read"
while read -r line; do
    number=$((number + 1))
    run=$(sed -e 's|/home/you/[^ ]*\.jsonl|round.jsonl|' -e 's/seq 1 300/seq 1 3/' \
        -e 's/\(patches .*\)--play/\1-o timbre.wav/' -e 's/patches --compare .*/& -o timbres.wav/' -e 's/\(holdfast play.*\)/\1 --dry-run/' \
        -e '/--save/s/ --dry-run//' -e 's/holdfast render .*/& --rate 8000/' <<<"$line")
    if sh -c "$run" >out 2>err </dev/null; then
        echo "ok $number - $line"
    else
        echo "not ok $number - $line"
        sed 's/^/# /' err
    fi
done < <(awk '/./ && !seen[$0]++' commands)

ok() { # what, command...
    number=$((number + 1))
    local what=$1
    shift
    if "$@" >out 2>err; then echo "ok $number - $what"; else
        echo "not ok $number - $what"
        sed 's/^/# /' out err
    fi
}
# The demo where there is no sound output.
demo() {
    (cd "$source" && JACK_DEFAULT_SERVER=none-$$ ALSA_CONFIG_PATH=/dev/null .ci/try "$build/holdfast" "$work") >said &&
        [ -s demo.wav ] && grep -q "written to a file: $work/demo.wav" said
}
ok 'make try writes the demo to a file and says where' demo
# The sizes of pages that the README tells.
is_about() { stat -c %s "$1" && [ "$(stat -c %s "$1")" -gt "$2" ] && [ "$(stat -c %s "$1")" -lt "$3" ]; }
build/holdfast sheet --for 20m --held 048 --seed 1 -o long.html >/dev/null
ok 'a page of 20 minutes has about 2 MB' is_about long.html 1700000 2300000
ok 'with --synth it has under 200 kB' is_about bo.html 10000 200000
if [ "$(id -u)" -eq 0 ] && command -v setpriv >/dev/null; then
    mkdir nobody && chmod 755 "$work" && chown 65534 nobody && cp "$build/holdfast" alone
    ok 'it never needs root' setpriv --reuid=65534 --regid=65534 --clear-groups env HOME="$work/nobody" \
        ./alone render --rounds 1 --rate 8000 -o nobody/a.wav --journal nobody/a.jsonl
fi
echo "1..$number"
