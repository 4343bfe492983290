/* SPDX-License-Identifier: MIT */
/* Invariant: three bytes give four characters; of the last group those that no bit fills are =. */
#include <holdfast/base64.h>

static const char alphabet[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

size_t hf_base64_length(size_t length)
{
    return (length + 2) / 3 * 4;
}

size_t hf_base64(const void *bytes, size_t length, char *text)
{
    const unsigned char *from = bytes;
    char *to = text;
    for (size_t i = 0; i < length; i += 3) {
        size_t left = length - i;
        unsigned long group = (unsigned long)from[i] << 16;
        group |= left > 1 ? (unsigned long)from[i + 1] << 8 : 0;
        group |= left > 2 ? from[i + 2] : 0;
        *to++ = alphabet[group >> 18];
        *to++ = alphabet[group >> 12 & 63];
        *to++ = left > 1 ? alphabet[group >> 6 & 63] : '=';
        *to++ = left > 2 ? alphabet[group & 63] : '=';
    }
    return (size_t)(to - text);
}
