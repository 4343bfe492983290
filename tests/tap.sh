# SPDX-License-Identifier: MIT
# shellcheck shell=bash
# tap: what the test scripts of this folder share, to be sourced: the program, a folder that goes at
# the end, and checks that are numbered.
set -u
build=${BUILD:-build}
holdfast=$build/holdfast
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
number=0

# check WHAT COMMAND... - one check: the command succeeds.
check() {
    number=$((number + 1))
    local what=$1
    shift
    if "$@"; then echo "ok $number - $what"; else echo "not ok $number - $what"; fi
}
