#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Compares all 4096 sets with an independent library from the npm registry (versions in package.json,
# checked in tests/npm/pcset.js). Speaks the Test Anything Protocol.
set -u
build=${BUILD:-build}
program=$(realpath "$build/holdfast")
there=$build/npm
echo "1..1"
if ! command -v npm >/dev/null 2>&1; then
    echo "ok 1 - inspect agrees with an independent library on all 4096 sets # SKIP no npm"
    exit 0
fi
mkdir -p "$there" && cp tests/npm/package.json tests/npm/pcset.js "$there" && cd "$there" || exit 1
if ! npm install --no-audit --no-fund --no-package-lock --silent >install.log 2>&1; then
    sed 's/^/# /' install.log
    echo "ok 1 - inspect agrees with an independent library on all 4096 sets # SKIP no registry"
    exit 0
fi
if node pcset.js "$program" >compare.log 2>&1; then
    echo "ok 1 - inspect agrees with an independent library on all 4096 sets"
else
    sed 's/^/# /' compare.log
    echo "not ok 1 - inspect agrees with an independent library on all 4096 sets"
    exit 1
fi
