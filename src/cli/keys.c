/* SPDX-License-Identifier: MIT */
/* Invariant: an unknown escape sequence is swallowed whole, so that no part of it acts as a key. */
#include "keys.h"

#include <string.h>

const char key_help[] =
    "Space stay / go on   p pause / resume   Enter next   Left again   r reveal\n"
    "g got   m missed   Up Down volume   q leave   ? keys";

struct press_row {
    const char *bytes;
    enum hf_key key;
};

static const struct press_row rows[] = {
    {" ", HF_KEY_STAY},        {"p", HF_KEY_PAUSE},       {"\r", HF_KEY_NEXT},
    {"\n", HF_KEY_NEXT},       {"\033[C", HF_KEY_NEXT},   {"\033OC", HF_KEY_NEXT},
    {"\033[6~", HF_KEY_NEXT},  {"\033[D", HF_KEY_AGAIN},  {"\033OD", HF_KEY_AGAIN},
    {"\033[5~", HF_KEY_AGAIN}, {"r", HF_KEY_REVEAL},      {"g", HF_KEY_GOT},
    {"\033[A", HF_KEY_LOUDER}, {"\033OA", HF_KEY_LOUDER}, {"\033[B", HF_KEY_SOFTER},
    {"\033OB", HF_KEY_SOFTER}, {"m", HF_KEY_MISSED},      {"q", HF_KEY_QUIT},
    {"1", HF_KEY_CHOICE_1},    {"2", HF_KEY_CHOICE_2},    {"3", HF_KEY_CHOICE_3},
    {"4", HF_KEY_CHOICE_4},    {"5", HF_KEY_CHOICE_5},    {"6", HF_KEY_CHOICE_6},
    {"0", HF_KEY_CHOICE_NONE}, {"7", HF_KEY_CHOICE_7},    {"8", HF_KEY_CHOICE_8},
    {"9", HF_KEY_CHOICE_9},
};

static enum press look_up(const char *bytes, enum hf_key *key)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (strcmp(rows[i].bytes, bytes) == 0) {
            *key = rows[i].key;
            return PRESS_KEY;
        }
    return strcmp(bytes, "?") == 0 ? PRESS_HELP : PRESS_NOTHING;
}

/* An escape sequence is over with its final byte (ECMA-48: 0x40 to 0x7e after the introducer). */
static bool is_over(const struct key_reader *reader)
{
    char last = reader->sequence[reader->length - 1];
    if (reader->length == 2)
        return last != '[' && last != 'O';
    return last >= 0x40 && last <= 0x7e;
}

enum press key_feed(struct key_reader *reader, unsigned char byte, enum hf_key *key)
{
    char single[2] = {(char)byte, 0};
    if (byte == 0x1b) {
        reader->sequence[0] = (char)byte;
        reader->length = 1;
        return PRESS_NOTHING;
    }
    if (reader->length == 0)
        return look_up(single, key);
    if (reader->length == (int)sizeof reader->sequence - 1)
        reader->length--; /* longer than any we know: only its end counts */
    reader->sequence[reader->length++] = (char)byte;
    if (!is_over(reader))
        return PRESS_NOTHING;
    reader->sequence[reader->length] = 0;
    reader->length = 0;
    return look_up(reader->sequence, key);
}
