#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# What the README shows of a command's output is what the command says: each line of an indented block
# stands, in that order, in what the command before it says on stdout; "..." stands for any lines.
# Sessions run on a virtual clock, with the keys that their text tells of.
. "$(dirname "$0")/tap.sh"
readme=$PWD/README.md
build=$(cd "$build" && pwd)
export HOME=$work/home
unset XDG_STATE_HOME XDG_CONFIG_HOME
mkdir "$HOME"
cd "$work" || exit 1

# "heading|command", a tab, a line shown; of what follows a command in its section.
awk '
    /^#/ { command = ""; heading = $0 }
    !/^    / { if (!/^$/) other = 0; next }
    { text = substr($0, 5) }
    # A file to write, a list of commands: nothing that is said.
    other || text ~ /^(\[|# )/ { other = 1; next }
    text ~ /^(\$ )?build\/holdfast / {
        sub(/^\$ /, "", text)
        sub(/  +# .*/, "", text)
        command = text
        next
    }
    text ~ /^(make|cmp|mkdir|seq) / { command = ""; next }
    command != "" { print command "\t" text }
' "$readme" >shown

# What a player of the text does, and what it leaves to chance or to the day.
keys() {
    case $1 in
    *--seed\ 3*) echo '5 x' ;; # any key begins
    *roam*) printf '12 3\n14 q\n' ;;
    *hunt*) printf '10 d eb f\\r\n15 c d g\\r\n31 d eb a\\r\n36 q\n' ;;
    *ear*) printf '7 2\n12 q\n' ;;
    *sight*) printf '11 n\n34.1 1\n35 3\n36 4\n40 q\n' ;;
    esac
}
more() {
    case $1 in
    *--seed\ 3*) echo '--plain --start check' ;;
    *hunt*) echo '--seed 2' ;;
    *warmup) echo '--held 048 --day 2026-11-25 --seed 3 --plain --rate 8000' ;;
    *fading) echo '--seed 7 --plain --rate 8000' ;;
    *unfold*) echo '--seed 25 --plain --rate 8000' ;;
    esac
}

# Of one player's history, which is not ours: not compared.
history='^build/holdfast review'
same() { sed -e "s|$build/tests/live/hasty|build/holdfast|" -e 's|[^ ]*/[0-9-]*\.jsonl|JOURNAL|' -e 's/nowhere, in haste/system/' -e 's/ *$//'; }
# shows COMMAND - the lines shown of it are in its output, one after the other
shows() {
    local run
    run=$(sed "s|^build/holdfast play|$build/tests/live/hasty play|; s|^build/holdfast|$build/holdfast|" <<<"$1")
    keys "$1" >keys
    HASTY_KEYS=keys sh -c "$run $(more "$1")" </dev/null 2>err | same >out
    awk -F'\t' -v c="$1" '$1 == c { print $2 }' shown | same >wanted
    awk '
        NR == FNR { said[++count] = $0; next }
        $0 == "..." { next }
        { for (at++; at <= count && said[at] != $0; at++); if (at > count) { print "# not said: " $0; exit 1 } }
    ' out wanted
}
while read -r command; do
    [[ $command =~ $history ]] && continue
    check "as shown: $command" shows "$command"
done < <(cut -f1 shown | awk '!seen[$0]++')
check 'enough of the README is such a block' test "$number" -ge 9
echo "1..$number"
