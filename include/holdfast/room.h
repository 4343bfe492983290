/* SPDX-License-Identifier: MIT */
/*
 * room: the reverberation, a feedback delay network of 16 lines (J.-M. Jot and A. Chaigne, "Digital
 * delay networks for designing artificial reverberators", AES 90th Convention, 1991), 2.45 s long
 * and 1.8 s at 4 kHz. Nothing in it is modulated, so it never bends a pitch.
 *
 * The caller owns the struct (about 1 MiB, aligned to HF_ALIGNMENT; only what the rate needs is
 * touched); it points only at constant data. init off the audio thread, render on it. A room is
 * linear up to rounding: two rooms for two buses are not the bits of one for both.
 */
#ifndef HOLDFAST_ROOM_H
#define HOLDFAST_ROOM_H

#include <stdint.h>

#include <holdfast/vector.h>

#define HF_ROOM_LINES 16
#define HF_ROOM_DIFFUSERS 4

/* Room for all lines at 192 kHz, each with up to three chunks to spare. */
#define HF_ROOM_FLOATS 206848

struct hf_room {
    _Alignas(HF_ALIGNMENT) float memory[HF_ROOM_FLOATS];
    float diffuser[2][HF_ROOM_DIFFUSERS][2048];
    float absorbed[HF_ROOM_LINES]; /* the absorption filters' states */
    float keep[HF_ROOM_LINES];     /* and their two numbers */
    float take[HF_ROOM_LINES];
    float high_pass_state[2];
    float high_pass_in[2];
    float high_pass_keep;
    float out_gain;
    int32_t silent_chunks; /* in a row, up to now; an empty room with nothing coming in rests */
    int32_t begin[HF_ROOM_LINES]; /* where each line lies in memory */
    int32_t size[HF_ROOM_LINES];  /* its ring, a multiple of 64 */
    int32_t delay[HF_ROOM_LINES];
    int32_t write[HF_ROOM_LINES];
    int32_t diffuser_delay[2][HF_ROOM_DIFFUSERS];
    int32_t diffuser_write[2][HF_ROOM_DIFFUSERS];
    const struct hf_vector *vector;
};

/* With which sign each line is heard. */
extern const float hf_room_sign[HF_ROOM_LINES];

/* An empty room at `rate` (8000 to 192000). */
void hf_room_init(struct hf_room *room, long rate);

/* Overwrites out with the reverberation alone of the next 64 samples. in and out may be the same.
 * Real-time safe. */
void hf_room_render(struct hf_room *room, const float in_left[HF_CHUNK],
                    const float in_right[HF_CHUNK], float out_left[HF_CHUNK],
                    float out_right[HF_CHUNK]);

#endif
