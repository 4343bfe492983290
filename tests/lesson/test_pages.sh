#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Lesson pages in a browser (browser.js), driven by packages from the npm registry. Speaks the Test
# Anything Protocol. CHROMIUM names another browser of that kind.
set -u
build=${BUILD:-build}
program=$(realpath "$build/holdfast")
there=$build/lesson
echo "1..$(cat tests/lesson/*.js | grep -c '^ *test(')"
browser=$(command -v "${CHROMIUM:-chromium}") || {
    echo "not ok - no ${CHROMIUM:-chromium} to show the pages in"
    exit 1
}
mkdir -p "$there" && cp tests/lesson/package.json tests/lesson/*.js "$there" && cd "$there" || exit 1
if ! npm install --no-audit --no-fund --no-package-lock --silent >install.log 2>&1; then
    sed 's/^/# /' install.log
    cat *.js | grep '^ *test(' | sed 's/.*/ok - pages in a browser # SKIP no registry/'
    exit 0
fi
exec node browser.js "$program" "$browser"
