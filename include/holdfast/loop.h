/* SPDX-License-Identifier: MIT */
/*
 * loop: the held notes as sound that goes round without a seam: every partial, drift and beat makes
 * a whole number of turns in one period, the breath apart. For players that can only repeat a piece
 * of sound; the pitches move by less than HF_LOOP_CENTS.
 *
 * The module owns the loop (new, free). Not real-time safe; one thread at a time for each loop.
 */
#ifndef HOLDFAST_LOOP_H
#define HOLDFAST_LOOP_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/held.h>
#include <holdfast/status.h>

/* The most that a note of up to three moves, with periods of 3 s and more; with more notes
 * somewhat more. */
#define HF_LOOP_CENTS 0.5

struct hf_loop_setting {
    struct hf_held_setting held; /* `way` is sustained or struck */
    double room_db, volume_db;   /* as hf_engine_setting has them */
    int count;                   /* of notes, 1 to HF_EVENT_NOTES */
    uint8_t notes[HF_EVENT_NOTES];
    double shortest_s, longest_s; /* of the period, sustained; struck: it is the restrike */
};

struct hf_loop;

/* Chooses the period that moves the pitches least. HF_E_MEMORY. */
enum hf_status hf_loop_new(struct hf_loop **out, const struct hf_loop_setting *setting,
                           struct hf_diag *diag) HF_CHECKED;
void hf_loop_free(struct hf_loop *loop);

/* Samples of one period, a multiple of HF_CHUNK. */
int64_t hf_loop_period(const struct hf_loop *loop);

/* Writes `chunks` chunks of interleaved stereo, each call where the last ended. The first one
 * begins after the attack, with the room as full as it gets; struck, at a strike. Two chunks a
 * period apart are alike but for the breath. */
void hf_loop_render(struct hf_loop *loop, int64_t chunks, float *stereo);

/* Note `index` as it sounds, for those who write its numbers down: its gains for the two sides, and
 * the drone or (struck) the note that is struck. */
const struct hf_held_slot *hf_loop_note(const struct hf_loop *loop, int index, float *left,
                                        float *right);

#endif
