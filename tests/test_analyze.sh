#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Static analysis that fits in a check: cppcheck and gcc -fanalyzer. `make analyze` adds clang-tidy.
set -u
case ${BUILD:-build} in */asan*) echo "1..0 # SKIP no other sources than the plain build's"; exit 0 ;; esac
unset MAKEFLAGS MFLAGS MAKELEVEL CFLAGS
exec make --no-print-directory -s analyze ANALYZE='cppcheck gcc'
