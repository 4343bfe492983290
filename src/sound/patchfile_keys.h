/* SPDX-License-Identifier: MIT */
/* What may stand in a patch file: one row a key. */
#ifndef HOLDFAST_SOUND_PATCHFILE_KEYS_H
#define HOLDFAST_SOUND_PATCHFILE_KEYS_H

#include <stddef.h>

enum hf_patchfile_type {
    HF_KEY_KIND,  /* drone or struck */
    HF_KEY_TEXT,  /* about */
    HF_KEY_WHOLE, /* int */
    HF_KEY_COPIES,
    HF_KEY_REAL, /* double */
    HF_KEY_LIST, /* one number a partial */
    HF_KEY_TRIM  /* trim_N_db: a number of partial N */
};

struct hf_patchfile_key {
    const char *section; /* "formant" stands for formant.1, formant.2, ... */
    const char *name;
    enum hf_patchfile_type type;
    size_t offset; /* in struct hf_patch; of a formant's, in struct hf_patch_formant */
    double low;
    double high;
};

#define HF_PATCHFILE_KEYS 29
extern const struct hf_patchfile_key hf_patchfile_keys[HF_PATCHFILE_KEYS];

#endif
