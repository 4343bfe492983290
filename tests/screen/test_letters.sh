#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Large letters read back by a machine that knows nothing of them (tesseract): a picture of the
# smallest ones, seven rows high, from several distances, which is what other sizes of the picture
# are. A text counts as read where it is read exactly at one of them; signs are the hardest, since
# nobody writes them that large.
set -u
build=$(cd "${BUILD:-build}" && pwd)
work=$(mktemp -d "$build/letters-XXXXXX")
trap 'rm -rf "$work"' EXIT
checks=0 failed=0

# reads TEXT ROWS ALLOWED - is it read at one of these heights?
reads() {
    local text=$1 rows=$2 allowed=$3 points read wanted
    wanted=$(printf %s "$text" | tr -d ' ' | tr '[:lower:]' '[:upper:]')
    for points in 56 40 80 32; do
        "$build/tests/screen/picture" --letters "$text" "$rows" "$points" "$work/x.png" || return 1
        read=$(OMP_THREAD_LIMIT=1 tesseract "$work/x.png" - --psm 7 \
            -c tessedit_char_whitelist="$allowed" 2>/dev/null | tr -d ' \n\f' | tr '[:lower:]' '[:upper:]')
        [ "$read" = "$wanted" ] && return 0
        echo "$points points: $read"
    done
    return 1
}

ok() {
    checks=$((checks + 1))
    if reads "$1" "$2" "$3" >"$work/said"; then
        echo "ok $checks - $1"
    else
        echo "not ok $checks - $1"
        sed 's/^/# /' "$work/said"
        failed=$((failed + 1))
    fi
}

for text in "D  Eb  A" "C#  D  G" "Eb  A  Bb" "F  F#  B" "F  Bb  B" "B  E  F" "Ab  D  Eb" "Db  G  Ab" \
    "A  Bb  E"; do
    ok "$text" 7 'ABCDEFG#b'
done
for text in find listen play rest stay pause; do
    ok "$text" 3 'ABCDEFGHIJKLMNOPQRSTUVWXYZ'
done
echo "1..$checks"
[ "$failed" -eq 0 ]
