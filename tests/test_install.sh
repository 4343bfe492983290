#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# make install into a directory of its own, what lies there, and that uninstall leaves nothing. The
# manual page is held against mandoc, the completions against the shells, the package against lintian,
# where these are there (they are on a machine that make check has set up).
. "$(dirname "$0")/tap.sh"
make=${MAKE:-make}
unset MAKEFLAGS MFLAGS MAKELEVEL
installed=$work/root/opt/x
quiet() { "$@" >"$work/out" 2>"$work/err"; }

check "it installs" quiet "$make" BUILD="$build" DESTDIR="$work/root" PREFIX=/opt/x install
holdfast=$installed/bin/holdfast
check "the program runs from there" quiet "$holdfast" --version
check "it runs from anywhere, with its patches" \
    sh -c "cd / && HOME='$work' '$holdfast' render --dry-run --seed 1 >/dev/null"
check "it needs no files beside it" sh -c \
    "cp '$holdfast' '$work/alone' && cd / && '$work/alone' patches | grep -q stopped-pipe"
check "each patch lies there to be read and copied" \
    diff -r -x README.md patches "$installed/share/holdfast/patches"
page=$installed/share/man/man1/holdfast.1
if command -v mandoc >/dev/null; then
    check "mandoc finds nothing in the manual page" sh -c "test -z \"\$(mandoc -T lint '$page')\""
fi
# Every command and option of the help stands in the page.
missing=
for command in $("$holdfast" --help | awk '/^  [a-z]+ / { print $1 }'); do
    grep -q "^\.Ss holdfast $command\$" "$page" || missing="$missing $command"
    for option in $("$holdfast" "$command" --help | grep -oE '^ +(-., )?--[a-z0-9-]+' |
        sed 's/.*--//'); do
        case $option in help | version) continue ;; esac
        grep -q "Fl \\\\-$option" "$page" || missing="$missing $command:$option"
    done
done
check "the manual page has every command and option" test -z "$missing"

# What bash offers for a line: the last word is being typed.
offers() {
    bash -c '. "$0" && COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) && _holdfast && echo "${COMPREPLY[*]}"' \
        "$installed/share/bash-completion/completions/holdfast" "$@"
}
check "bash completes a command" test "$(offers holdfast rep)" = replay
check "bash completes an option" test "$(offers holdfast play --restr)" = --restrike
check "bash completes a practice" test "$(offers holdfast play ro)" = roam
touch "$work/a-journal.jsonl"
check "bash completes a file" \
    test "$(offers holdfast replay "$work/a-j")" = "$work/a-journal.jsonl"
check "bash offers nothing for a number" test -z "$(offers holdfast play --tempo 1)"
if command -v zsh >/dev/null; then
    check "zsh reads its completions" zsh -n "$installed/share/zsh/site-functions/_holdfast"
fi

check "it uninstalls" quiet "$make" BUILD="$build" DESTDIR="$work/root" PREFIX=/opt/x uninstall
check "nothing is left" test -z "$(find "$work" -path "$work/root/*" -type f)"
check "no directory of its own is left" test ! -e "$installed/share/holdfast"

if command -v lintian >/dev/null && command -v dpkg-shlibdeps >/dev/null; then
    check "a package is built" quiet "$make" BUILD="$build" deb
    package=$(ls "$build"/holdfast_*.deb)
    check "lintian finds no error" sh -c \
        "! lintian --no-cfg --allow-root '$package' 2>/dev/null | grep '^E:'"
    sum=$(sha256sum <"$package")
    quiet "$make" BUILD="$build" deb
    check "the same program gives the same package" test "$sum" = "$(sha256sum <"$package")"
fi
echo "1..$number"
