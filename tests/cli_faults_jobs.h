/* SPDX-License-Identifier: MIT */
/* The command lines whose every call is made to fail (test_cli_faults). */
#ifndef TESTS_CLI_FAULTS_JOBS_H
#define TESTS_CLI_FAULTS_JOBS_H

#include <stddef.h>

struct job {
    const char *words; /* parted by '|' */
    const char *input; /* standard input, or NULL */
    const char *keys;  /* for hasty, or NULL */
};

#define SHORT "--held|C E G#|--every|0.2s|--lead-in|0.1s|--rounds|1|--seed|1|--rate|8000"

static const struct job jobs[] = {
    {"complete|C E G#", NULL, NULL},
    {"complete|C E G#|--json", NULL, NULL},
    {"complete|--path|012478|--to|C E G# F F# B", NULL, NULL},
    {"inspect|C E G# C# D G", NULL, NULL},
    {"inspect|C E G# C# D G|--json", NULL, NULL},
    {"inspect|-", "0 4 8\n016\n", NULL},
    {"pairings|--held|3-12|--size|3", NULL, NULL},
    {"pairings|--result|6-Z17|--json", NULL, NULL},
    {"shapes|C E G#|--top|2", NULL, NULL},
    {"shapes|C E G#|--top|2|--json", NULL, NULL},
    {"shapes|--with|x-3-2-1-x-x|--instrument|mine.ini", NULL, NULL},
    {"shapes|--families|C E G#|--frets|7", NULL, NULL},
    {"shapes|--tour|C E G#|--frets|5", NULL, NULL},
    {"shapes|--instruments", NULL, NULL},
    {"patches", NULL, NULL},
    {"patches|drone.ini|--json", NULL, NULL},
    {"review|--detail", NULL, NULL},
    {"review|one.jsonl|--json", NULL, NULL},
    {"review|one.jsonl|-o|old.svg", NULL, NULL},
    {"review|--plan|20m", NULL, NULL},
    {"sheet|--synth|-o|old.html|--for|0.3s|" SHORT, NULL, NULL},
    {"sheet|--journal|torn.jsonl|-o|new.html", NULL, NULL},
    {"render|-o|old.wav|--journal|old.jsonl|" SHORT, NULL, NULL},
    {"render|-o|new.flac|--times|old.csv|--captions|new.vtt|" SHORT, NULL, NULL},
    {"render|-o|new.wav|--tracks|tracks|--stems|stems|--for|0.4s|" SHORT, NULL, NULL},
    {"render|--stills|stills|--for|0.4s|" SHORT, NULL, NULL},
    {"render|--dry-run|--journal|new.jsonl|--patch|drone.ini|" SHORT, NULL, NULL},
    {"replay|damaged.jsonl|--salvage|--dry-run", NULL, NULL},
    {"render|ear|--dry-run|--rounds|1|--seed|1|--rate|8000", NULL, NULL},
    {"render|warmup|--dry-run|--for|1m|--seed|1|--rate|8000", NULL, NULL},
    {"replay|one.jsonl|--dry-run", NULL, NULL},
    {"replay|torn.jsonl|-o|old.wav", NULL, NULL},
    {"replay|one.jsonl|--plain", NULL, ""},
    {"play|--dry-run|--order|weak|--rounds|1|--seed|1", NULL, NULL},
    {"play|--save|mine|" SHORT, NULL, NULL},
    {"play|kept|--dry-run", NULL, NULL},
    {"play|--journal|new.jsonl|" SHORT, NULL,
     "0.2 g\n0.5 \\s\n0.8 \\s\n1 p\n1.1 p\n1.2 r\n1.3 \\r\n"},
    {"play|--unfold|3-5,3-11|--step|1s|" SHORT, NULL, "0.3 b\n0.6 q\n"},
    {"play|ear|--seed|1|--rate|8000|--held|C E G#", NULL, "20 1\n40 q\n"},
    {"play|roam|--seed|1|--rate|8000|--held|C E G#", NULL, "2 1\n4 2\n8 q\n"},
    {"play|hunt|--seed|1|--rate|8000|--held|C E G#", NULL, "2 C# D G\\r\n8 q\n"},
    {"play|--resume|torn.jsonl", NULL, "1 q\n"},
    {"play|sight|--chords|chords.txt|--seed|1|--rate|8000", NULL, "2 n\n8 q\n"},
    {"play|--start|check|" SHORT, NULL, "0.2 t\\e[B\n0.3 x\n1 q\n"},
    {"sheet|--synth|--journal|roam.jsonl|-o|new.html", NULL, NULL},
};

#endif
