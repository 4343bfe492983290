/* SPDX-License-Identifier: MIT */
/*
 * keymap: what each key does, by name: the keys that the program comes with, changed by a file of
 * the player's.
 *
 * The caller owns the struct; keymap_init first. Main thread only.
 */
#ifndef HOLDFAST_CLI_KEYMAP_H
#define HOLDFAST_CLI_KEYMAP_H

#include <holdfast/conductor.h>
#include <holdfast/status.h>

#include "keys.h"

/* enumerator, the word in a file, the conductor's key, its own keys */
#define CONTROL_LIST(X)                                                                            \
    X(CONTROL_STAY, "stay", HF_KEY_STAY, "Space")                                                  \
    X(CONTROL_PAUSE, "pause", HF_KEY_PAUSE, "p")                                                   \
    X(CONTROL_NEXT, "next", HF_KEY_NEXT, "Enter Right Page-Down Pedal")                            \
    X(CONTROL_AGAIN, "again", HF_KEY_AGAIN, "Left Page-Up")                                        \
    X(CONTROL_REVEAL, "reveal", HF_KEY_REVEAL, "r")                                                \
    X(CONTROL_GOT, "got", HF_KEY_GOT, "g")                                                         \
    X(CONTROL_MISSED, "missed", HF_KEY_MISSED, "m")                                                \
    X(CONTROL_CHOICE_1, "choice-1", HF_KEY_CHOICE_1, "1")                                          \
    X(CONTROL_CHOICE_2, "choice-2", HF_KEY_CHOICE_2, "2")                                          \
    X(CONTROL_CHOICE_3, "choice-3", HF_KEY_CHOICE_3, "3")                                          \
    X(CONTROL_CHOICE_4, "choice-4", HF_KEY_CHOICE_4, "4")                                          \
    X(CONTROL_CHOICE_5, "choice-5", HF_KEY_CHOICE_5, "5")                                          \
    X(CONTROL_CHOICE_6, "choice-6", HF_KEY_CHOICE_6, "6")                                          \
    X(CONTROL_CHOICE_7, "choice-7", HF_KEY_CHOICE_7, "7")                                          \
    X(CONTROL_CHOICE_8, "choice-8", HF_KEY_CHOICE_8, "8")                                          \
    X(CONTROL_CHOICE_9, "choice-9", HF_KEY_CHOICE_9, "9")                                          \
    X(CONTROL_CHOICE_NONE, "choice-none", HF_KEY_CHOICE_NONE, "0 n")                               \
    X(CONTROL_CHOICE_YES, "choice-yes", HF_KEY_CHOICE_YES, "y")                                    \
    X(CONTROL_LOUDER, "louder", HF_KEY_LOUDER, "Up")                                               \
    X(CONTROL_SOFTER, "softer", HF_KEY_SOFTER, "Down")                                             \
    X(CONTROL_QUIT, "quit", HF_KEY_QUIT, "q")                                                      \
    X(CONTROL_HELP, "help", HF_KEY_SIGNAL, "?")                                                    \
    X(CONTROL_PEDAL, "pedal", HF_KEY_SIGNAL, "")

enum control {
#define CONTROL_ENUM(name, word, key, own) name,
    CONTROL_LIST(CONTROL_ENUM)
#undef CONTROL_ENUM
        CONTROLS,
    CONTROL_NONE = CONTROLS
};

enum { KEYMAP_MOST = 128, KEYMAP_HELP = 400 };

struct keymap {
    struct keymap_row {
        char key[KEY_NAME];
        enum control does;
        long line; /* of the file that says so, 0 for the program's own */
    } rows[KEYMAP_MOST];
    int count;
};

/* The keys that the program comes with. */
void keymap_init(struct keymap *map);

/* Changes keys by the text of a file: lines `ACTION = KEY KEY ...`, # or ; before a comment. An
 * action that is named has these keys in place of its own (`none`: none at all); a key that is
 * named does nothing else. HF_E_DATA with file, line and what is allowed, then nothing changes. */
enum hf_status keymap_read(struct keymap *map, const char *text, size_t length,
                           const char *filename, struct hf_diag *diag) HF_CHECKED;

/* For --one-pedal: where no key is the pedal by name, those of next and stay are. */
void keymap_one_pedal(struct keymap *map);

/* What the key of this name does. */
enum control keymap_look(const struct keymap *map, const char *key);

/* The conductor's key for it; not for CONTROL_HELP, CONTROL_PEDAL and CONTROL_NONE. */
enum hf_key control_key(enum control control);

/* The keys in a few lines. `replay`: those that mean something there. Returns `text`. */
char *keymap_help(const struct keymap *map, bool replay, char text[KEYMAP_HELP]);

#endif
