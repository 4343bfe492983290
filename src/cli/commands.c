/* SPDX-License-Identifier: MIT */
/* The commands; what each takes stands beside it. */
#include <holdfast/cli.h>

#include <holdfast/query.h>

static const struct hf_cli_option *const inspect_options[] = {hf_cli_inspect_options,
                                                              hf_query_options, NULL};

const struct hf_cli_command hf_cli_commands[] = {
    {"inspect", "NOTES | - [options]", "what a chord is, and how it splits in two", inspect_options,
     "NOTES are 0 to 12 notes in one notation: names (C E G#), sounding pitches (C3 E3 G#3), numbers\n"
     "(0 4 8 or 048), or frets from the lowest string (x-3-2-1-x-x). {} is the empty set. With - a\n"
     "list is read from each line of the input, and a line of JSON answers it.\n\n"
     "  holdfast inspect C E G# C# D G\n"
     "  holdfast inspect 10-10-10-9-9-9",
     hf_cli_inspect},
    {NULL, NULL, NULL, NULL, NULL, NULL},
};
