/* SPDX-License-Identifier: MIT */
/*
 * keys: what comes from the player's hands and feet, as names: bytes of a terminal, one at a time,
 * and what a MIDI device sends. What a key does is the business of keymap.
 *
 * Pure; the caller owns the state, which starts zeroed.
 */
#ifndef HOLDFAST_CLI_KEYS_H
#define HOLDFAST_CLI_KEYS_H

#include <stdbool.h>

/* A name: a character as it is ("b"), or "Space", "Page-Down", "F5"; of MIDI "Pedal", "Note-60". */
enum { KEY_NAME = 16 };

struct key_reader {
    char sequence[8]; /* of a character or an escape sequence that has begun */
    int length;
};

/* Feeds one byte; true when a key is complete: then its name is in `name`, "" for one that has
 * none. */
bool key_feed(struct key_reader *reader, unsigned char byte, char name[KEY_NAME]);

/* What a MIDI message begins or ends. */
enum midi_press { MIDI_NOTHING, MIDI_PRESS, MIDI_PRESS_ONLY, MIDI_RELEASE };

/* A channel message, of any channel: a controller that crosses its middle (number 64, the sustain
 * pedal, is "Pedal"), a note on or off, a program change, which has no release. */
enum midi_press key_midi(unsigned status, unsigned data_1, unsigned data_2, char name[KEY_NAME]);

/* The name as it is written here, for one that someone typed in capitals or without; false when
 * there is no such key. */
bool key_named(const char *typed, char name[KEY_NAME]);

/* The names that are no characters, in words, for messages. */
extern const char key_names_allowed[];

#endif
