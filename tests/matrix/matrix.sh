#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Usage: tests/matrix/matrix.sh [all] - builds the sound with several compilers and settings, lets each
# build write all it makes at every vector width it runs and in several block sizes, and compares one
# SHA-256. `all` also builds for other machines (aarch64 under qemu-user, 32-bit x86 with SSE2) and with
# another C library (musl). The same with all that is decided before any sound (session.c), for every
# machine and library in any case, since that takes little. A compiler that is not there is skipped
# with a word. Output in the Test Anything Protocol.
set -u
cd "$(dirname "$0")/../.."
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
strict='-std=c11 -ffp-contract=off -fno-fast-math -D_POSIX_C_SOURCE=200809L -Iinclude -w'
# All that makes sound; not what reads patches, which takes a library.
sources="$(echo src/session/transport*.c) src/session/queue.c src/session/prompter.c $(find src/sound src/base -name '*.c' ! -name 'patchfile*' ! -name inifile.c ! -name jsonmemory.c)"
# All that decides what sounds and when: what needs no library but that of C.
deciding="$(find src/theory src/instrument src/session src/base -name '*.c' ! -name 'journal*' ! -name 'review*' \
    ! -name 'narrator*' ! -name 'wording*' ! -name instrumentfile.c ! -name inifile.c ! -name jsonmemory.c)"
count=0 first='' first_session='' failed=0

"$build/tests/matrix/patches" >"$work/patches.c" || exit 1

say() {
    count=$((count + 1))
    echo "$1 $count - $2"
    case $1 in not*) failed=1 ;; esac
}

# one LABEL RUNNER WIDTH BLOCK
one() {
    local sum
    sum=$($2 "$work/tones" "$3" "$4" | sha256sum | cut -d ' ' -f 1)
    [ -n "$first" ] || { first=$sum; echo "# $sum"; }
    if [ "$sum" = "$first" ]; then say ok "$1, $3, blocks of $4"; else say 'not ok' "$1, $3, blocks of $4: $sum"; fi
}

# there LABEL COMPILER RUNNER - can it be tried?
there() {
    command -v "$2" >/dev/null 2>&1 && { [ -z "$3" ] || command -v "${3%% *}" >/dev/null 2>&1; } && return
    count=$((count + 1))
    echo "ok $count - $1 # SKIP no $2 ${3%% *}"
    return 1
}

# unbuilt LABEL - it could not be built: here, or at all
unbuilt() {
    if grep -qE 'cannot find|No such file|unrecognized' "$work/errors"; then
        count=$((count + 1))
        echo "ok $count - $1 # SKIP cannot be built here"
    else
        head -n 5 "$work/errors" | sed 's/^/# /'
        say 'not ok' "$1 builds"
    fi
}

# decide LABEL RUNNER COMPILER FLAGS...
decide() {
    local label="$1, sessions" runner=$2 sum
    shift 2
    there "$label" "$1" "$runner" || return
    # shellcheck disable=SC2086 # lists of words
    if ! "$@" $strict -o "$work/session" tests/matrix/session.c $deciding -lm 2>"$work/errors"; then
        unbuilt "$label"
        return
    fi
    sum=$($runner "$work/session" | tee "$work/said" | sha256sum | cut -d ' ' -f 1)
    [ -n "$first_session" ] || first_session=$sum
    if [ "$sum" = "$first_session" ] && [ "$(grep -c '^session ' "$work/said")" -eq 64 ]; then
        say ok "$label"
    else
        say 'not ok' "$label: $sum, $(tail -n 1 "$work/said")"
    fi
}

# try LABEL RUNNER "BLOCKS" COMPILER FLAGS...
try() {
    local label=$1 runner=$2 blocks=$3 width block
    shift 3
    there "$label" "$1" "$runner" || return
    # shellcheck disable=SC2086 # lists of words
    if ! "$@" $strict -o "$work/tones" tests/matrix/tones.c "$work/patches.c" $sources -lm 2>"$work/errors"; then
        unbuilt "$label"
        return
    fi
    for width in $($runner "$work/tones" widths); do
        for block in $blocks; do
            one "$label" "$runner" "$width" "$block"
        done
    done
}

arm='qemu-aarch64 -L /usr/aarch64-linux-gnu'
decide 'gcc -O0' '' gcc -O0
decide 'clang -O2' '' clang -O2
decide 'musl gcc -O1' '' musl-gcc -O1 -static
decide 'aarch64 gcc -O1' "$arm" aarch64-linux-gnu-gcc -O1
try "${CC:-cc} -O2" '' '1 7 64 997 4096' "${CC:-cc}" -O2
try 'gcc -O0' '' 64 gcc -O0
try 'gcc -O3 -march=native' '' 64 gcc -O3 -march=native
try 'clang -O3' '' 64 clang -O3
if [ "${1-}" = all ]; then
    try 'gcc -O1' '' 64 gcc -O1
    try 'gcc -Os' '' 64 gcc -Os
    try 'clang -O0' '' 64 clang -O0
    try 'clang -O3 -march=native' '' 64 clang -O3 -march=native
    try 'gcc -O2 -m32 -msse2 -mfpmath=sse' '' 64 gcc -O2 -m32 -msse2 -mfpmath=sse
    try 'musl gcc -O2' '' 64 musl-gcc -O2 -static
    try 'aarch64 gcc -O2' "$arm" 64 aarch64-linux-gnu-gcc -O2
    try 'aarch64 gcc -O3' "$arm" 64 aarch64-linux-gnu-gcc -O3
fi
echo "1..$count"
exit $failed
