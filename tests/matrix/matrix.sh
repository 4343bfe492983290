#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Usage: tests/matrix/matrix.sh [all] - builds the sound with several compilers and settings, lets each
# build write all it makes at every vector width it runs and in several block sizes, and compares one
# SHA-256. `all` also builds for other machines (aarch64 under qemu-user, 32-bit x86 with SSE2) and with another C library (musl). A
# compiler that is not there is skipped with a word. Output in the Test Anything Protocol.
set -u
cd "$(dirname "$0")/../.."
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
strict='-std=c11 -ffp-contract=off -fno-fast-math -D_POSIX_C_SOURCE=200809L -Iinclude -w'
# All that makes sound; not what reads patches, which takes a library.
sources="$(echo src/session/transport*.c) src/session/queue.c src/session/prompter.c $(find src/sound src/base -name '*.c' ! -name 'patchfile*' ! -name inifile.c ! -name jsonmemory.c)"
count=0 first='' failed=0

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

# try LABEL RUNNER "BLOCKS" COMPILER FLAGS...
try() {
    local label=$1 runner=$2 blocks=$3 width block
    shift 3
    if ! command -v "$1" >/dev/null 2>&1 || { [ -n "$runner" ] && ! command -v "${runner%% *}" >/dev/null 2>&1; }; then
        count=$((count + 1))
        echo "ok $count - $label # SKIP no $1 ${runner%% *}"
        return
    fi
    # shellcheck disable=SC2086 # lists of words
    if ! "$@" $strict -o "$work/tones" tests/matrix/tones.c "$work/patches.c" $sources -lm 2>"$work/errors"; then
        if grep -qE 'cannot find|No such file|unrecognized' "$work/errors"; then
            count=$((count + 1))
            echo "ok $count - $label # SKIP cannot be built here"
        else
            head -n 5 "$work/errors" | sed 's/^/# /'
            say 'not ok' "$label builds"
        fi
        return
    fi
    for width in $($runner "$work/tones" widths); do
        for block in $blocks; do
            one "$label" "$runner" "$width" "$block"
        done
    done
}

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
    try 'aarch64 gcc -O2' 'qemu-aarch64 -L /usr/aarch64-linux-gnu' 64 aarch64-linux-gnu-gcc -O2
    try 'aarch64 gcc -O3' 'qemu-aarch64 -L /usr/aarch64-linux-gnu' 64 aarch64-linux-gnu-gcc -O3
fi
echo "1..$count"
exit $failed
