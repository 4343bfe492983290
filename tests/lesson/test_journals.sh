#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Lesson pages' own sessions, without a browser, against the program's reader, timeline and judge.
# Speaks the Test Anything Protocol. SESSIONS is how many of each kind of lesson.
set -u
build=${BUILD:-build}
echo "1..1"
if ! command -v node >/dev/null 2>&1; then
    echo "not ok 1 - no node to run the page's script"
    exit 1
fi
if node tests/lesson/journals.js "$(realpath "$build/holdfast")" "${SESSIONS:-25}" >"$build/journals.log" 2>&1; then
    echo "ok 1 - $(tail -n 1 "$build/journals.log")"
else
    cut -c1-2000 "$build/journals.log" | sed 's/^/# /'
    echo "not ok 1 - a page's journal is the program's"
    exit 1
fi
