/* SPDX-License-Identifier: MIT */
/*
 * struck: one plucked or struck note of a patch, by its modes: sines that start together and die
 * away each at its own rate.
 *
 * The caller owns the struct (aligned to HF_ALIGNMENT); it points only at constant data. init off
 * the audio thread, the rest on it; one thread at a time for each note.
 */
#ifndef HOLDFAST_STRUCK_H
#define HOLDFAST_STRUCK_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/patch.h>
#include <holdfast/vector.h>

/* How long a note takes to be damped, in milliseconds. */
#define HF_STRUCK_DAMP_MS 200

struct hf_struck {
    /* gain fallen by i samples, for each partial */
    _Alignas(HF_ALIGNMENT) float decay[HF_PATCH_PARTIALS_MOST * HF_CHUNK];
    struct hf_vector_partial partial[HF_PATCH_PARTIALS_MOST];
    float chunk_decay[HF_PATCH_PARTIALS_MOST]; /* by a whole chunk */
    const struct hf_vector *vector;
    int count;
    int64_t age;     /* samples since the note began */
    int64_t damp_at; /* age at which damping begins; negative: not yet known */
    int damp_from;   /* asked for, at this sample of a chunk; negative: not asked for */
    int32_t attack;  /* samples */
    int32_t damp;    /* samples */
    bool silent;
};

/* Prepares a note. `cents`: offset from equal temperament. `gain`: linear, from
 * hf_loudness_struck_gain. The patch must be a struck one.
 * Costs some tens of microseconds. */
void hf_struck_init(struct hf_struck *struck, const struct hf_patch *patch, int midi, double cents,
                    long a4_mhz, long rate, double gain);

/* Overwrites `out` with the note's next samples: it begins (first call) or goes on (`from` = 0) at
 * out[from], 0 before it. Real-time safe. */
void hf_struck_render(struct hf_struck *struck, int from, float out[HF_CHUNK]);

/* From out[from] of the next chunk rendered on, the note is damped within HF_STRUCK_DAMP_MS. A
 * second call changes nothing. Real-time safe. */
void hf_struck_damp(struct hf_struck *struck, int from);

/* Whether it has been damped, or died away below -120 dB of full scale: its slot is free. */
bool hf_struck_silent(const struct hf_struck *struck);

#endif
