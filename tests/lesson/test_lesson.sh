#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Lesson pages: their sessions without a browser (journals.js), then in one (browser.js), driven by
# packages from the npm registry. Speaks the Test Anything Protocol. CHROMIUM names another browser.
set -u
build=${BUILD:-build}
program=$(realpath "$build/holdfast")
there=$build/lesson
echo "1..$((1 + $(grep -c '^test(' tests/lesson/browser.js)))"
if node tests/lesson/journals.js "$program" "${SESSIONS:-25}" >"$build/journals.log" 2>&1; then
    echo "ok - $(cat "$build/journals.log")"
else
    cut -c1-2000 "$build/journals.log" | sed 's/^/# /'
    echo "not ok - a page's journal is the program's"
    exit 1
fi
browser=$(command -v "${CHROMIUM:-chromium}") || {
    echo "not ok - no ${CHROMIUM:-chromium} to show the pages in"
    exit 1
}
mkdir -p "$there" && cp tests/lesson/package.json tests/lesson/*.js "$there" && cd "$there" || exit 1
if ! npm install --no-audit --no-fund --no-package-lock --silent >install.log 2>&1; then
    sed 's/^/# /' install.log
    grep '^test(' browser.js | sed 's/.*/ok - pages in a browser # SKIP no registry/'
    exit 0
fi
exec node browser.js "$program" "$browser"
