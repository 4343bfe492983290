/* SPDX-License-Identifier: MIT */
/* Points of a WAV file: a `cue ` chunk by libsndfile, and their labels as a `LIST` chunk of type
 * `adtl`, one `labl` each (Multimedia Programming Interface and Data Specifications 1.0, 1991),
 * which libsndfile writes as it is given. Invariant: every label is padded to a multiple of 4, as
 * the library's own reader needs it. */
#include "soundfile_parts.h"

#include <stdlib.h>
#include <string.h>

enum { ID_BYTES = 4, HEAD_BYTES = 12 /* name, length and the point's number */ };

static void put_32(unsigned char *at, uint32_t value)
{
    for (int i = 0; i < 4; i++)
        at[i] = (unsigned char)(value >> (8 * i));
}

/* A label with its NUL, padded. */
static size_t label_bytes(const char *label)
{
    return (strlen(label) + 1 + 3) & ~(size_t)3;
}

static void put_labels(unsigned char *at, const struct hf_soundfile_point *points, size_t count)
{
    memcpy(at, "adtl", ID_BYTES);
    at += ID_BYTES;
    for (size_t i = 0; i < count; i++) {
        size_t bytes = label_bytes(points[i].label);
        memcpy(at, "labl", ID_BYTES);
        put_32(at + 4, (uint32_t)(bytes + 4));
        put_32(at + 8, (uint32_t)(i + 1));
        memcpy(at + HEAD_BYTES, points[i].label, strlen(points[i].label));
        at += HEAD_BYTES + bytes;
    }
}

static enum hf_status set_labels(SNDFILE *library, const struct hf_soundfile_point *points,
                                 size_t count, struct hf_diag *diag)
{
    size_t length = ID_BYTES;
    for (size_t i = 0; i < count; i++)
        length += HEAD_BYTES + label_bytes(points[i].label);
    unsigned char *bytes = calloc(1, length);
    if (!bytes)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    put_labels(bytes, points, count);
    SF_CHUNK_INFO chunk = {.id = "LIST", .id_size = 4, .datalen = (unsigned)length, .data = bytes};
    int error = sf_set_chunk(library, &chunk);
    free(bytes);
    return error ? hf_fail(diag, HF_E_MEMORY, "out of memory") : HF_OK;
}

enum hf_status hf_soundfile_set_points(SNDFILE *library, const struct hf_soundfile_point *points,
                                       size_t count, struct hf_diag *diag)
{
    if (count > HF_SOUNDFILE_POINTS_MOST)
        count = HF_SOUNDFILE_POINTS_MOST;
    if (count == 0)
        return HF_OK;
    SF_CUES_VAR(HF_SOUNDFILE_POINTS_MOST) *cues = calloc(1, sizeof *cues);
    if (!cues)
        return hf_fail(diag, HF_E_MEMORY, "out of memory");
    cues->cue_count = (uint32_t)count;
    for (size_t i = 0; i < count; i++) {
        cues->cue_points[i].indx = (int32_t)i + 1;
        cues->cue_points[i].position = (uint32_t)points[i].frame;
        cues->cue_points[i].sample_offset = (uint32_t)points[i].frame;
        cues->cue_points[i].fcc_chunk = 0x61746164; /* "data", its first byte lowest */
    }
    bool set = sf_command(library, SFC_SET_CUE, cues, sizeof *cues) == SF_TRUE;
    free(cues);
    return set ? set_labels(library, points, count, diag)
               : hf_fail(diag, HF_E_MEMORY, "out of memory");
}
