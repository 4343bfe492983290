/* SPDX-License-Identifier: MIT */
/*
 * vorbis: stereo sound into Ogg Vorbis in memory (libsndfile), for what carries sound inside. The
 * stream's serial number is the caller's, so that the same sound gives the same bytes.
 *
 * The caller owns the samples and frees the bytes. Not for the audio thread; any other may call it.
 */
#ifndef HOLDFAST_VORBIS_H
#define HOLDFAST_VORBIS_H

#include <stddef.h>
#include <stdint.h>

#include <holdfast/status.h>

struct hf_vorbis_form {
    int rate_hz;     /* 8000 to 192000 */
    double quality;  /* 0 to 1 */
    uint32_t serial; /* of the stream */
};

/* Encodes `frames` frames of interleaved stereo, 1 or more. `*bytes` is the caller's to free.
 * HF_E_MEMORY; HF_E_USAGE where the library takes no such rate. */
enum hf_status hf_vorbis_encode(const float *stereo, int64_t frames,
                                const struct hf_vorbis_form *form, unsigned char **bytes,
                                size_t *length, struct hf_diag *diag) HF_CHECKED;

#endif
