/* SPDX-License-Identifier: MIT */
/*
 * audition: patches made to sound on the four augmented triads, one short piece after the other, by
 * the engine like everything else; to a file or to the sound output. Main thread only.
 */
#ifndef HOLDFAST_CLI_AUDITION_H
#define HOLDFAST_CLI_AUDITION_H

#include <holdfast/cli.h>

enum { AUDITION_PIECES = 8, AUDITION_TRIADS = 4 };

struct audition {
    struct {
        const char *name; /* of the patch, for what is said */
        const struct hf_patch *patch;
        int triad; /* 0 to 3: that on C, Db, D, Eb */
    } pieces[AUDITION_PIECES];
    int count;
};

/* Appends a patch on a triad. */
void audition_add(struct audition *audition, const char *name, const struct hf_patch *patch,
                  int triad);

/* Renders all pieces into a file and says on stdout what lies where. Errors: those of
 * hf_soundfile_open and the like. */
enum hf_status audition_render(const struct audition *audition, const char *path, int rate_hz,
                               struct hf_diag *diag) HF_CHECKED;

/* Plays all pieces to a sound output (NULL: the system's) and says which is heard. Ends early with
 * a fade on a signal, which `*signal_number` then tells. Errors: those of hf_live_open; HF_E_LOST.
 */
enum hf_status audition_play(const struct audition *audition, const char *output,
                             int *signal_number, struct hf_diag *diag) HF_CHECKED;

#endif
