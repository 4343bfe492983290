/* SPDX-License-Identifier: MIT */
/* What an MP3 file says of itself, before its sound: ID3v2.4 (M. Nilsson, "ID3 tag version 2.4.0 -
 * Main Structure" and "- Native Frames", 2000), in UTF-8. libsndfile's own writes UTF-8 and calls
 * it Latin-1, and puts a whole date where a year belongs. Invariant: nothing is written twice, so
 * that the length is known when the bytes are. */
#include "soundfile_parts.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { HEADER = 10, UTF_8 = 3 };

/* Four bytes of seven bits, highest first (6.2 of the structure). */
static void put_size(unsigned char at[4], size_t size)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(size >> (7 * (3 - i)) & 0x7f);
}

/* A frame: its name, its length, no flags, the encoding, what stands before the text, the text. */
static size_t put_frame(unsigned char *at, const char *name, const char *before,
                        size_t before_length, const char *text)
{
    size_t length = text ? strlen(text) : 0, body = 1 + before_length + length;
    if (length == 0)
        return 0;
    if (at) {
        memset(at, 0, HEADER);
        memcpy(at, name, 4);
        put_size(at + 4, body);
        at[HEADER] = UTF_8;
        memcpy(at + HEADER + 1, before, before_length);
        memcpy(at + HEADER + 1 + before_length, text, length);
    }
    return HEADER + body;
}

/* All frames one after another; without a place only their length. */
static size_t put_frames(unsigned char *at, const struct hf_soundfile_form *form)
{
    static const char unsaid[] = "XXX"; /* the language; then a description, which is empty */
    size_t used = put_frame(at, "TIT2", "", 0, form->title);
    used += put_frame(at ? at + used : NULL, "COMM", unsaid, sizeof unsaid, form->comment);
    return used + put_frame(at ? at + used : NULL, "TDRC", "", 0, form->date);
}

unsigned char *hf_soundfile_tag(const struct hf_soundfile_form *form, size_t *length)
{
    size_t frames = put_frames(NULL, form);
    unsigned char *tag = calloc(1, HEADER + frames);
    if (!tag)
        return NULL;
    memcpy(tag, "ID3\4", 4);
    put_size(tag + 6, frames);
    put_frames(tag + HEADER, form);
    *length = frames ? HEADER + frames : 0;
    return tag;
}
