/* SPDX-License-Identifier: MIT */
/* Invariant: no byte past `length` is read. */
#include <holdfast/text.h>

#include <string.h>

/* Length of the well-formed sequence at `s`, 0 when there is none. Unicode 15, table 3-7. */
static size_t sequence(const unsigned char *s, size_t left)
{
    if (s[0] < 0x80)
        return 1;
    size_t length = s[0] >= 0xf0 ? 4 : s[0] >= 0xe0 ? 3 : 2;
    if (s[0] < 0xc2 || s[0] > 0xf4 || left < length)
        return 0;
    unsigned char low = s[0] == 0xe0 ? 0xa0 : s[0] == 0xf0 ? 0x90 : 0x80;
    unsigned char high = s[0] == 0xed ? 0x9f : s[0] == 0xf4 ? 0x8f : 0xbf;
    if (s[1] < low || s[1] > high)
        return 0;
    for (size_t i = 2; i < length; i++)
        if ((s[i] & 0xc0) != 0x80)
            return 0;
    return length;
}

bool hf_text_is_utf8(const char *text, size_t length)
{
    const unsigned char *s = (const unsigned char *)text;
    for (size_t at = 0; at < length;) {
        size_t step = sequence(s + at, length - at);
        if (step == 0)
            return false;
        at += step;
    }
    return true;
}

void hf_text_disarm(char *text)
{
    unsigned char *s = (unsigned char *)text;
    size_t left = strlen(text);
    while (left > 0) {
        size_t step = sequence(s, left);
        bool c1 = step == 2 && s[0] == 0xc2 && s[1] < 0xa0;
        if (step == 0 || c1 || s[0] < 0x20 || s[0] == 0x7f) {
            *s = '?';
            step = 1; /* the second byte of a C1 control is no UTF-8 alone: its turn comes next */
        }
        s += step;
        left -= step;
    }
}

bool hf_text_is_plain(const char *text, size_t length, const char *allowed)
{
    for (size_t i = 0; i < length; i++) {
        unsigned char byte = (unsigned char)text[i];
        bool c1 = byte == 0xc2 && i + 1 < length && (unsigned char)text[i + 1] >= 0x80 &&
                  (unsigned char)text[i + 1] < 0xa0;
        if (c1 || ((byte < 0x20 || byte == 0x7f) && (!byte || !strchr(allowed, byte))))
            return false;
    }
    return true;
}
