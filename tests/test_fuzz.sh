#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Every reader of text from outside against a fuzzer, 20 s each, one after the other: what the
# 25 minutes of a check leave (FUZZ=N: N s; `make fuzz`: 45). With the sanitizers.
set -u
case ${BUILD:-build} in */asan*) echo "1..0 # SKIP it has sanitizers of its own"; exit 0 ;; esac
command -v clang >/dev/null || { echo "1..0 # SKIP no clang"; exit 0; }
unset MAKEFLAGS MFLAGS MAKELEVEL CFLAGS CC
log=$(mktemp)
trap 'rm -f "$log"' EXIT
make fuzz BUILD="${BUILD:-build}" FUZZ="${FUZZ:-20}" >"$log" 2>&1
grep -E '^(not )?ok ' "$log" | awk '{ sub(/- /, ++n " - "); print } END { print "1.." n }'
grep -qE '^[0-9]+ passed, 0 failed$' "$log" || { sed 's/^/# /' "$log"; exit 1; }
