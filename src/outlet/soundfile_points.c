/* SPDX-License-Identifier: MIT */
/* Points of a WAV file: a `cue ` chunk, and their labels as a `LIST` chunk of type `adtl`, one
 * `labl` each (Multimedia Programming Interface and Data Specifications 1.0, 1991). They stand
 * after the sound, put there by us: libsndfile has room for about 1000 of them before it, and
 * leaves out the rest without a word. Invariants: both chunks have an even length; every label is
 * padded to a multiple of 4, as the library's own reader needs it. */
#include "soundfile_parts.h"

#include <stdlib.h>
#include <string.h>

enum {
    ID_BYTES = 4,
    CHUNK_BYTES = 8,  /* its name and length */
    POINT_BYTES = 24, /* in `cue ` */
    LABEL_BYTES = 12, /* name, length and the point's number */
};

static unsigned char *put_32(unsigned char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(value >> (8 * i));
    return at + 4;
}

static unsigned char *put_id(unsigned char *at, const char *id)
{
    memcpy(at, id, ID_BYTES);
    return at + ID_BYTES;
}

/* A label with its NUL, padded. */
static size_t label_bytes(const char *label)
{
    return (strlen(label) + 1 + 3) & ~(size_t)3;
}

static size_t labels_bytes(const struct hf_soundfile_point *points, size_t count)
{
    size_t length = ID_BYTES;
    for (size_t i = 0; i < count; i++)
        length += LABEL_BYTES + label_bytes(points[i].label);
    return length;
}

static unsigned char *put_cues(unsigned char *at, const struct hf_soundfile_point *points,
                               size_t count)
{
    at = put_32(put_id(at, "cue "), (uint32_t)(4 + POINT_BYTES * count));
    at = put_32(at, (uint32_t)count);
    for (size_t i = 0; i < count; i++) {
        at = put_32(at, (uint32_t)(i + 1));
        at = put_32(at, (uint32_t)points[i].frame);
        at = put_32(put_32(put_id(at, "data"), 0), 0);
        at = put_32(at, (uint32_t)points[i].frame);
    }
    return at;
}

static void put_labels(unsigned char *at, const struct hf_soundfile_point *points, size_t count)
{
    at = put_32(put_id(at, "LIST"), (uint32_t)labels_bytes(points, count));
    at = put_id(at, "adtl");
    for (size_t i = 0; i < count; i++) {
        size_t bytes = label_bytes(points[i].label);
        at = put_32(put_id(at, "labl"), (uint32_t)(bytes + 4));
        at = put_32(at, (uint32_t)(i + 1));
        memcpy(at, points[i].label, strlen(points[i].label));
        at += bytes;
    }
}

unsigned char *hf_soundfile_points_chunks(const struct hf_soundfile_point *points, size_t count,
                                          size_t *length)
{
    if (count > HF_SOUNDFILE_POINTS_MOST)
        count = HF_SOUNDFILE_POINTS_MOST;
    *length = CHUNK_BYTES + 4 + POINT_BYTES * count + CHUNK_BYTES + labels_bytes(points, count);
    unsigned char *bytes = calloc(1, *length);
    if (bytes)
        put_labels(put_cues(bytes, points, count), points, count);
    return bytes;
}
