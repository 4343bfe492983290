/* SPDX-License-Identifier: MIT */
/* Invariants: numbers are written seven bits a byte, lowest first, the highest bit of a byte saying
 * that more follow (LEB128); a source never reads past its end, and once failed gives zeros. */
#include "review_parts.h"

#include <stdlib.h>
#include <string.h>

static bool make_room(struct review_writer *w, size_t more)
{
    if (w->failed)
        return false;
    if (w->length + more <= w->room)
        return true;
    size_t room = w->room ? w->room : 256;
    while (room < w->length + more)
        room *= 2;
    unsigned char *bytes = realloc(w->bytes, room);
    if (!bytes) {
        w->failed = true;
        return false;
    }
    w->bytes = bytes;
    w->room = room;
    return true;
}

void review_put(struct review_writer *w, uint64_t value)
{
    if (!make_room(w, 10))
        return;
    for (; value >= 0x80; value >>= 7)
        w->bytes[w->length++] = (unsigned char)(value | 0x80);
    w->bytes[w->length++] = (unsigned char)value;
}

/* The sign goes to the lowest bit. */
void review_put_signed(struct review_writer *w, int64_t value)
{
    review_put(w, value < 0 ? ~(uint64_t)value << 1 | 1 : (uint64_t)value << 1);
}

void review_put_fixed(struct review_writer *w, uint64_t value)
{
    if (!make_room(w, 8))
        return;
    for (int i = 0; i < 8; i++)
        w->bytes[w->length++] = (unsigned char)(value >> (8 * i));
}

void review_put_bytes(struct review_writer *w, const void *bytes, size_t length)
{
    if (length == 0 || !make_room(w, length))
        return;
    memcpy(w->bytes + w->length, bytes, length);
    w->length += length;
}

uint64_t review_get(struct review_source *s, uint64_t most)
{
    uint64_t value = 0;
    for (int shift = 0; s->at < s->end && shift < 64; shift += 7) {
        unsigned char byte = *s->at++;
        value |= (uint64_t)(byte & 0x7f) << shift;
        if (byte < 0x80) {
            if (value <= most)
                return value;
            break;
        }
    }
    s->failed = true;
    s->at = s->end;
    return 0;
}

int64_t review_get_signed(struct review_source *s)
{
    uint64_t value = review_get(s, UINT64_MAX);
    return value & 1 ? (int64_t) ~(value >> 1) : (int64_t)(value >> 1);
}

uint64_t review_get_fixed(struct review_source *s)
{
    const unsigned char *bytes = review_get_bytes(s, 8);
    uint64_t value = 0;
    for (int i = 7; bytes && i >= 0; i--)
        value = value << 8 | bytes[i];
    return value;
}

const void *review_get_bytes(struct review_source *s, size_t length)
{
    const unsigned char *bytes = s->at;
    if ((size_t)(s->end - s->at) < length) {
        s->failed = true;
        s->at = s->end;
        return NULL;
    }
    s->at += length;
    return bytes;
}
