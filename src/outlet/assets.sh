#!/bin/sh
# SPDX-License-Identifier: MIT
# Usage: assets.sh STYLE BODY SCRIPT... - prints the lesson page's own files as C arrays; the scripts
# become one, in their order.
set -eu

array() {
    name=$1
    shift
    echo "static const unsigned char ${name}_bytes[] = {"
    cat "$@" | od -An -v -t u1 | sed 's/[0-9][0-9]*/&,/g'
    echo "};"
    echo "const struct hf_lesson_asset hf_lesson_$name = {${name}_bytes, sizeof ${name}_bytes};"
}

style=$1 body=$2
shift 2
echo "/* Generated from src/outlet/lesson/ by src/outlet/assets.sh. */"
echo '#include "lesson_parts.h"'
array style "$style"
array body "$body"
array script "$@"
