/* SPDX-License-Identifier: MIT */
/*
 * keys: bytes of a terminal into keys, one byte at a time. Pure; the caller owns the state, which
 * starts zeroed.
 */
#ifndef HOLDFAST_CLI_KEYS_H
#define HOLDFAST_CLI_KEYS_H

#include <stdbool.h>

#include <holdfast/conductor.h>

/* What a key press asks for: one of the conductor's keys, or the list of keys. */
enum press { PRESS_NOTHING, PRESS_KEY, PRESS_HELP };

struct key_reader {
    char sequence[8]; /* of an escape sequence that has begun */
    int length;
};

/* Feeds one byte; PRESS_KEY sets `*key`. */
enum press key_feed(struct key_reader *reader, unsigned char byte, enum hf_key *key);

/* The keys in words, one line or two. */
extern const char key_help[];

#endif
