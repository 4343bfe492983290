/* SPDX-License-Identifier: MIT */
/* The player's hands and feet: which keys do what in a session. */
#include <stdlib.h>

#include "session.h"

const struct hf_cli_option hf_cli_hands_options[] = {
    {"keys", 0, "FILE", "what keys and pedals do: lines ACTION = KEY KEY ...", CODE_KEYS},
    {"midi-in", 0, "NAME",
     "a MIDI input for pedals and keys; the sustain pedal is next,\n"
     "or with --one-pedal the pedal; --keys gives notes, programs\n"
     "and controllers something to do",
     CODE_MIDI_IN},
    {"start", 0, "WAY",
     "check: the held notes fade in first, to set the level and\n"
     "tune, until a key begins (at a terminal); now: at once (else)",
     CODE_START},
    {"one-pedal", 0, NULL,
     "everything by one pedal (Enter, Right, Page Down or Space):\n"
     " pressed after the answer: got it, and on; before it: reveal\n"
     " not pressed by the end of the cue: missed\n"
     " twice quickly: again; held: stay and go on",
     CODE_ONE_PEDAL},
    {NULL, 0, NULL, NULL, 0},
};

enum hf_status session_keys(struct session *s, struct hf_diag *diag)
{
    char *text = NULL;
    size_t length = 0;
    keymap_init(&s->keys);
    enum hf_status status =
        s->keys_file ? hf_store_read(s->keys_file, &text, &length, diag) : HF_OK;
    if (status == HF_OK && s->keys_file)
        status = keymap_read(&s->keys, text, length, s->keys_file, diag);
    if (status == HF_OK && s->one_pedal)
        keymap_one_pedal(&s->keys);
    free(text);
    return status;
}
