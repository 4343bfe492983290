#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Files in every format, read by programs of others (sox, opusdec) and held against the WAV file. FLAC
# has the same numbers; what the formats that lose a little have lost stays 30 dB below the sound
# (common practice, no source; a wrong side, scale or half a millisecond would be above -20).
. "$(dirname "$0")/tap.sh"
render() { # extension, options...
    local extension=$1
    shift
    "$holdfast" render --held "C E G#" --seed 3 --rounds 1 --every 2s --lead-in 2s --rate 48000 \
        --label 'for "A" & <b>' -o "$work/a.$extension" "$@" >/dev/null 2>"$work/err"
}
level() { # file: RMS in dB, a number
    sox "$1" -n stats 2>&1 | awk '/^RMS lev dB/ { print $4 }'
}
# The difference to the WAV file, in dB of the sound.
difference() { # file
    sox -m -v 1 "$work/a.wav" -v -1 "$1" -b 32 "$work/difference.wav" 2>/dev/null
    awk "BEGIN { print $(level "$work/difference.wav") - ($(level "$work/a.wav")) }"
}
render wav
length=$(soxi -s "$work/a.wav")
check "wav: is as long as the session" test "$length" -eq $(((2 + 12 + 5) * 48000))
for extension in flac ogg opus mp3; do
    render "$extension"
    check "$extension: is written" test $? -eq 0
    check "$extension: says that it holds no points" grep -q 'no cue points' "$work/err"
done
opusdec --quiet --float "$work/a.opus" "$work/opus.wav" 2>"$work/opus.txt"
for extension in flac ogg opus.wav; do
    file=$work/a.$extension
    [ -e "$file" ] || file=$work/$extension
    check "$extension: is as long" test "$(soxi -s "$file" 2>/dev/null)" -eq "$length"
    [ "$extension" = flac ] || check "$extension: is close to it" awk "BEGIN { exit !($(difference "$file") < -30) }"
done
for extension in flac ogg; do
    check "$extension: holds the label" sh -c \
        "soxi '$work/a.$extension' 2>/dev/null | grep -qF 'for \"A\" & <b>'"
done
# Its readers don't agree on what an encoder puts before and after the sound: a tenth of a second.
check "mp3: is as long" test "$(($(soxi -s "$work/a.mp3") - length))" -lt 4800
sox "$work/a.wav" -t raw -e signed -b 24 "$work/wav.raw" 2>/dev/null
sox "$work/a.flac" -t raw -e signed -b 24 "$work/flac.raw" 2>/dev/null
check "flac: holds the same numbers" cmp -s "$work/wav.raw" "$work/flac.raw"
"$holdfast" render --formats >"$work/formats"
check "formats: lists those that are written" test "$(awk '{ printf "%s", $1 }' "$work/formats")" = \
    .wav.flac.ogg.opus.mp3
echo "1..$number"
