/* SPDX-License-Identifier: MIT */
/*
 * midi_in: pedals and keys that speak MIDI: one input, its messages as they come, and the notice
 * when it goes away. What the messages mean is decided elsewhere.
 *
 * The module owns what hf_midi_open makes, until hf_midi_close. One thread: the one that opened. It
 * reaches the devices through a table of functions, so that tests can stand in for a device, and a
 * program can be built without the library.
 */
#ifndef HOLDFAST_MIDI_IN_H
#define HOLDFAST_MIDI_IN_H

#include <stdbool.h>
#include <stdint.h>

#include <holdfast/status.h>

enum { HF_MIDI_NAME = 128 };

struct hf_midi_message {
    uint8_t status, data_1, data_2;
};

/* What a MIDI library does. Inputs are numbered from 0. */
struct hf_midi_system {
    int (*count)(void *self); /* of inputs; starts the library. Negative: it can't be started */
    bool (*name)(void *self, int index, char name[HF_MIDI_NAME]);
    bool (*open)(void *self, int index);
    /* The next message: 1, none now: 0, the input is gone: -1. Never waits. */
    int (*read)(void *self, struct hf_midi_message *out);
    void (*close)(void *self); /* the input, if one is open, and the library */
    void *self;
};

/* PortMidi; NULL where the program was built without. */
const struct hf_midi_system *hf_midi_portmidi(void);

struct hf_midi;

/* Opens the input whose name is `name`, or the only one that has it as a part, whatever its case.
 * HF_E_USAGE: not in this build (`system` NULL); HF_E_DEVICE: none of that name, or several (the
 * advice lists them), or it can't be opened; HF_E_MEMORY. */
enum hf_status hf_midi_open(struct hf_midi **out, const struct hf_midi_system *system,
                            const char *name, struct hf_diag *diag) HF_CHECKED;

/* The whole name of what was opened. */
const char *hf_midi_name(const struct hf_midi *midi);

/* Takes the next message of the channels (sysex, clock and the like are passed over); false when
 * there is none now. */
bool hf_midi_read(struct hf_midi *midi, struct hf_midi_message *out);

/* False once the input has gone away: it stays so. */
bool hf_midi_alive(const struct hf_midi *midi);

/* `midi` may be NULL. */
void hf_midi_close(struct hf_midi *midi);

#endif
