#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The audio thread by symbols: every function of the program that can be reached from its callback, by
# calls and jumps in the machine code, and what those call outside. Only functions of the C library
# that copy or fill memory may be among them: none that allocates, locks, waits or asks the system.
# Calls through pointers are known by hand: the vector functions are roots, who calls them is listed.
. "$(dirname "$0")/tap.sh"
command -v objdump >/dev/null || { echo "1..0 # SKIP no objdump"; exit 0; }

# "caller callee", one a line; "*" for a call through a pointer (a jump through a register is a switch).
objdump -d --no-show-raw-insn "$holdfast" | awk '
    /^[0-9a-f]+ <.*>:$/ { name = substr($2, 2, length($2) - 3); next }
    $2 ~ /^(call|jmp|j[a-z]+)q?$/ || $2 == "bnd" {
        if ($0 ~ /(call|jmp)q? +(notrack )?\*/) { if ($0 !~ /jmp.*\*%/) print name, "*"; next }
        if (match($0, /<[^>+]+>$/)) print name, substr($0, RSTART + 1, RLENGTH - 2)
    }' | sort -u >"$work/calls"

reach() { # roots: every function reached, one a line
    awk -v roots="$*" '
        { calls[$1] = calls[$1] " " $2 }
        END {
            count = split(roots, list, " ")
            for (at = 1; at <= count; at++) {
                if (seen[list[at]]++) continue
                print list[at]
                more = split(calls[list[at]], next_ones, " ")
                for (i = 1; i <= more; i++) list[++count] = next_ones[i]
            }
        }' "$work/calls"
}

# The functions behind pointers: those of struct hf_vector, in every width; and the speaker's.
vectors='ramp decay sine absorb mix diffuse true_peak largest'
speaker=get # of outlet/speech
# shellcheck disable=SC2086 # names are words
reach on_audio hf_engine_render $vectors $speaker >"$work/reached"
own=$(grep -cv -e '@plt' -e '\*' "$work/reached")
outside=$(grep '@plt' "$work/reached" | sed 's/@plt.*//' | sort -u)
check "the callback reaches the engine ($own functions)" test "$own" -gt 30
for name in $vectors; do
    nm "$build/sound/vector_plain.o" | grep -q " t $name\$" || missing="${missing-} $name"
done
check "the vector functions are known by name:${missing:- all}" test -z "${missing-}"
forbidden=
for name in $outside; do
    case $name in
    memcpy | memmove | memset | __memcpy_chk | __memset_chk) ;;
    *) forbidden="$forbidden $name" ;;
    esac
done
check "nothing outside is called but copying and filling:${forbidden:- none}" test -z "$forbidden"
# Who calls through a pointer there, and may: the live output its renderer, the engine its tap (none
# when live), all others the vector functions.
unknown=
while read -r name; do
    grep -q "^$name \*\$" "$work/calls" || continue
    case $name in
    on_audio | render_mono | render_running | stay_silent | render_chunk | hf_engine_render) ;;
    hf_spoken_begin | take_in | diffuse | gains_at | hf_bank_* | hf_drone_* | hf_struck_* | hf_room_* | hf_ceiling_*) ;;
    *) unknown="$unknown $name" ;;
    esac
done < <(grep -v '@plt' "$work/reached")
check "no function calls through an unknown pointer:${unknown:- none}" test -z "$unknown"
# A symbol that is looked for at its first call would be looked for there.
check "every symbol is bound when the program starts" sh -c "readelf -d '$holdfast' | grep -q BIND_NOW"
# The check can fail: from the functions that prepare, the allocator is reached.
check "it sees an allocation where there is one" \
    sh -c "grep -q '^hf_engine_new .*alloc@plt' '$work/calls'"
echo "1..$number"
