/* SPDX-License-Identifier: MIT */
/* Invariant: what hf_spelled_format writes in German is read as the same note. */
#include "notes_german.h"

#include <string.h>

/* The name that German has for a note, if the word begins with it. */
static size_t begins_with(const char *word, size_t length, struct hf_spelled spelled)
{
    char name[HF_SPELLED_TEXT];
    size_t size = strlen(hf_spelled_format(spelled, HF_NAMES_GERMAN, name));
    return size <= length && memcmp(word, name, size) == 0 ? size : 0;
}

bool notes_read_german(const char *word, size_t length, struct hf_spelled *out, size_t *used)
{
    *used = 0;
    for (char letter = 'A'; letter <= 'G'; letter++)
        for (int by = -2; by <= 2; by++) {
            struct hf_spelled spelled = {letter, (signed char)by};
            size_t size = begins_with(word, length, spelled);
            if (size > *used) { /* the longest: Cisis begins with C and Cis */
                *used = size;
                *out = spelled;
            }
        }
    return *used > 0;
}
